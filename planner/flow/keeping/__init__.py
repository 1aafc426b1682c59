"""Records, files and the database: which steps, in which order, and when is it kept?

In: words of a command, already parsed.
Out: a value for a page.
Doors: `kinds.KINDS` for CSV (`cells` reads the text), `files` for whole files of either sort.
May ask: the shared modules of flow.
"""
