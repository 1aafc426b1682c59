"""Which tables are there, and what may a row never hold?

In: the words of the domain's kinds and states.
Out: SQLAlchemy Core tables with named constraints; `tables` has them all.
May ask: nobody.
"""
