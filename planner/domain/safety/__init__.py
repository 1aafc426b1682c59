"""What can hurt someone, and at which figure does the word fall?

In: weights, temperatures, humidity, a state's rules on utility locates.
Out: limits, work and rest, the hour at which digging becomes legal.
May ask: firm.
"""
