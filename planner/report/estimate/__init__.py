"""Hours, prices of labor, rate books: how does it read on a screen, on paper, in a file?

In: a value.
Out: text, tables, HTML, CSV, JSON, ICS.
May ask: the rooms before it and the shared modules of report.
"""
