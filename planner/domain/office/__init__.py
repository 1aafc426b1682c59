"""What must the office do, and by when?

In: the plan, the jobs, ticks, orders, locates, what customers were told.
Out: dated items with a key each, the morning's page, calendar events.
May ask: all rooms.
"""
