"""Records, files and the database: which steps, in which order, and when is it kept?

In: words of a command, already parsed.
Out: a value for a page, or what a change came to.
Doors: `kinds.KINDS` for CSV (`cells` reads the text), `files` for whole files of either sort.
May ask: stored.
"""
