"""Tell whether a request comes from a person at this very machine.

Until there are accounts this is what stands between the station's pages and the
rest of the network. Knows no page.
"""

import ipaddress
from urllib.parse import urlsplit

from flask import Request

_PASSED_ON = ("Forwarded", "Via", "X-Forwarded-For", "X-Forwarded-Host", "X-Real-Ip")
_NUMBERS = ("127.0.0.1", "[::1]")
_NAMES = ("localhost", *_NUMBERS)


def is_local(request: Request) -> bool:
    """Tell whether the client is on loopback, asked for loopback, and came directly.

    The name asked for is looked at too, since a foreign page may point its own
    name at this machine; and behind a proxy every client seems to be here.
    """
    return (
        is_loopback(request.remote_addr or "")
        and _without_port(request.host) in _NAMES
        and not any(name in request.headers for name in _PASSED_ON)
    )


def by_name(request: Request) -> str | None:
    """Give the same address by the name localhost when it was asked for by number.

    A browser keeps a store for each name of a site, so one tablet would have two.
    None when the name is right already, or is not this machine's alone: a
    certificate vouches for the very name that was asked for.
    """
    asked = _without_port(request.host)
    if request.is_secure or asked not in _NUMBERS or not is_local(request):
        return None
    port = request.host.removeprefix(asked)
    return urlsplit(request.url)._replace(netloc=f"localhost{port}").geturl()


def is_loopback(host: str) -> bool:
    """Tell whether a host, name or address, means this machine."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def _without_port(host: str) -> str:
    name, colon, port = host.rpartition(":")
    return name if colon and port.isdigit() else host
