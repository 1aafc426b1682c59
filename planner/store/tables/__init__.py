"""How does a row become a value, and a value a row?

In: connections.
Out: nouns of the domain.
May ask: schema.
"""
