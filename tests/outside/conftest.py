"""Give the checks against the outside both halves to ask."""

from tests.halves import both, half, modules_page

__all__ = ["both", "half", "modules_page"]
