"""A package of its own, since a dependency may bring a folder named tests along."""
