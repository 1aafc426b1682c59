"""How many hours does it take, and how sure is that?

In: a job's quantities, a rate book, a crew, conditions.
Out: crew-hours by phase with their spread and their arithmetic; days on the calendar.
May ask: firm, safety, design, quantities.
"""
