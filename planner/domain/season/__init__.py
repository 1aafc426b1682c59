"""What must a plan respect, what does it cost, and what does it promise?

In: jobs with their hours, crews, machines, gates, lost time; bookings.
Out: the works to book, breaches, the price, the hours that a plan holds, promises.
May ask: firm, safety, design, quantities, estimate.
"""
