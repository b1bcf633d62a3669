"""How a station talks to its hub: the one place where the simulator meets checklist.relay."""


def exchange(node, now: int):
    """Exchange once with the hub; yields requests, is sent answers or errors."""
    raise NotImplementedError
