"""The steps that keep what joins stations to their hub: peers, codes, what was acknowledged.

Additive only, as in schema.py, which runs them.
"""

STEPS = ()
