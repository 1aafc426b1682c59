"""Who are we, whom do we work for, and when do we work?

In: stored facts: firm, crews, machines, jobs with their quantities, logs, lost time.
Out: working windows, daylight, and the checks of what may be stored.
Door: `entry` reads one typed value, `fields` the named fields of a noun (options and CSV columns alike).
May ask: nobody.
"""
