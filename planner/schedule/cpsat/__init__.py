"""What does OR-Tools say? The only room that speaks to it.

In: a problem, or a few jobs of it.
Out: an optimum or a bound, the smallest sets that clash.
May ask: model.
"""
