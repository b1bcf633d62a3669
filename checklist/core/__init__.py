"""The rules, with no I/O and no clock.

Everything here is given what it needs and gives values back. The same names
stand in ``static/core`` in JavaScript, and tests hold both to equal results.
"""
