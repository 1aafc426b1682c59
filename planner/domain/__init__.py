"""The trade, pure: no database, no solver, no screen, no clock.

Door: `plain` turns any noun into JSON values and back; the other doors stand in the rooms' signs.
"""
