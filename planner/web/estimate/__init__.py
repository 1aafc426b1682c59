"""Hours, prices and rates: what does a person see and press?

In: a Visit.
Out: a Page, a File, or where to Go and what is said there.
May ask: the rooms before it and the shared modules of web.
"""
