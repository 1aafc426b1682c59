"""Records, files and the database: what do people type?

In: a command line.
Out: exit codes and pages, through flow and report.
May ask: the shared modules of cli.
"""
