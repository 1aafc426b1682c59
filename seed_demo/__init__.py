"""The demo: one invented season of an invented firm in an invented town."""

#: The morning on which the demo is looked at.
MORNING = "2027-05-03T06:45"
