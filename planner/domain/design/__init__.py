"""Which shape does the pond have?

In: the design text: outline, steps, boxes, pipe, stone, site.
Out: the design's nouns, its layers and levels, its section as plain points.
Door: `read.read_design` takes a design file; `measures.Table` reads its tables key by key.
May ask: firm, safety.
"""
