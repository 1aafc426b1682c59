"""What does one crew do today, and this week?

In: bookings in force, the checklist, the job and its design.
Out: the board, a day sheet with steps, bands, hold points and tools, and what it sends back.
Door: `returned.decode_all` takes what a phone sends back.
May ask: firm to standing.
"""
