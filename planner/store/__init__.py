"""Rows in, values out: the database and its files."""
