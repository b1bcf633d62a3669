"""The steps that keep who may see and change what: accounts, sessions, the list of who did what.

Additive only, as in schema.py, which runs them.
"""

STEPS = ()
