"""Plans, promises, the season: which steps, in which order, and when is it kept?

In: words of a command, already parsed.
Out: a value for a page.
May ask: the rooms before it and the shared modules of flow.
"""
