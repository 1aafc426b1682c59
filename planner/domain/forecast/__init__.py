"""What may become of a plan?

In: a season with its bookings, spreads of hours, a climate.
Out: chances of promises, dates by percentile, days to keep in hand.
May ask: firm to standing.
"""
