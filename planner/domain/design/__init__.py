"""Which shape does the pond have?

In: the design text: outline, steps, boxes, pipe, stone, site.
Out: the design's nouns, its layers and levels, its section as plain points.
May ask: firm, safety.
"""
