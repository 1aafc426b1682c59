"""The demo: one invented season of an invented firm in an invented town."""
