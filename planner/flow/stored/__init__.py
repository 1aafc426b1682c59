"""What does the store say that every page and every search starts from?

In: an open book, or the place of the database.
Out: facts, the roster and the plan in force, locates, kept designs, the edition that tells a job.
May ask: the shared modules of flow.
"""
