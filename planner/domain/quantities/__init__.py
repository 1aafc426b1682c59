"""What does that pond come to?

In: a design.
Out: cubic yards by state, square feet, tons, gallons, what must be bought, what must be feared.
May ask: firm, safety, design.
"""
