"""What came back: what do people type?

In: a command line.
Out: exit codes and pages, through flow and report.
May ask: the rooms before it and the shared modules of cli.
"""
