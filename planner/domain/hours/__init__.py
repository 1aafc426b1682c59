"""What came back, and what does it teach?

In: returned sheets and logs.
Out: logs and misses, observations, the next edition of the rate book.
May ask: firm to crew_day.
"""
