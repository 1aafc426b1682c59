"""What do the shipped data files say?

In: files of planner/data, or the firm's own copies.
Out: rate book, checklist, phase rules, lead times, locates, climate.
Door: `own_file` finds the text, shipped or the firm's own, and its tables; one module a file makes the values.
May ask: nobody.
"""
