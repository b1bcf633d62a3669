"""The tests, as a package of its own: a library on the path may bring a folder of this name."""
