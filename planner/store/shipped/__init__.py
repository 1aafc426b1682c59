"""What do the shipped data files say?

In: files of planner/data, or the firm's own copies.
Out: rate book, checklist, phase rules, lead times, locates, climate.
May ask: nobody.
"""
