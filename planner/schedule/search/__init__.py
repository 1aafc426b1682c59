"""Who finds a better timetable?

In: a problem and a limit of work.
Out: timetables, the best kept, and a proven floor.
May ask: model, kernel, cpsat.
"""
