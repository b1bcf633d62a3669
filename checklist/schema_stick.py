"""The steps that keep what left by file and what may be let go.

Additive only, as in schema.py, which runs them.
"""

STEPS = ()
