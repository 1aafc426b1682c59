"""What is solved, and what does a timetable cost?

In: tasks, ways, workers, pools, lags, prices, in slots.
Out: a timetable, its price, and where one more task fits.
May ask: nobody.
"""
