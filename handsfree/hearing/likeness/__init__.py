"""How alike two voices are: a hint for a supervisor, never a gate.

What is computed here tells a person from others, so it is computed when it is looked at and never
kept (`page/voices.py` says so to whoever looks).
"""
