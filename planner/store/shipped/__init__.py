"""What do the shipped data files say?

In: files of planner/data, or the firm's own copies.
Out: rate book, checklist, phase rules, lead times, locates, climate.
Door: `own_file` finds a file's text, shipped or the firm's own; one module a file makes its values.
May ask: nobody.
"""
