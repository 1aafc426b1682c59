"""How is nothing ever lost?

In: a database's place.
Out: copies, checks, upgrades, the firm as one value.
May ask: tables, the books, the engine.
"""
