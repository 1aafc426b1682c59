"""What of a plan counts now, what changed, and why is it so?

In: a plan, the roster, what changed since, what was worked.
Out: the plan in force, its standing against promises, hindrances, stale or not, the season's view.
May ask: firm to season.
"""
