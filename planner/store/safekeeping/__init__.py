"""How is nothing ever lost?

In: a database's place.
Out: copies, checks, upgrades, the firm as one value.
Door: `whole.load` takes the firm's JSON, each noun by `domain.plain.from_plain`.
May ask: tables, the books, the engine.
"""
