"""Why is it so, what would help, and what is the least fix?

In: a season and its bookings.
Out: reasons, reliefs, clashes in trade words, repaired and inserted bookings.
May ask: model, cpsat, the door.
"""
