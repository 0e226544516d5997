"""Hostile input of every kind that comes from outside, seeded: `python -m tests.fuzz --help`."""
