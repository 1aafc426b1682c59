"""The whole job in a browser, beside `cli`: what does a person see and press?

In: requests. Out: pages and redirects, through `flow` and `report`. No formula, no table, no second wording.
`planner open` starts it (planner/cli/keeping/open.py); nothing else imports it.
"""
