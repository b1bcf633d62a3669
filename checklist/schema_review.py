"""The steps that keep what the review reads: one row a case, limits of a post, remarks.

Additive only, as in schema.py, which runs them.
"""

STEPS = ()
