"""The trade, pure: no database, no solver, no screen, no clock."""
