"""How is one step of the search done a hundred thousand times a second?

In: flat arrays of a problem and a timetable.
Out: the same timetable, annealed; its change of price.
May ask: model.
"""
