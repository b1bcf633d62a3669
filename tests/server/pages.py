"""Open the station's pages and fill their forms, as a person on its machine does."""

import re

from tests.server.tablet import LOCAL

PAGES = ("/station/", "/station/devices", "/station/settings")


def see(client, path, status=200):
    """Open a page on this machine."""
    reply = client.get(path, environ_base=LOCAL)
    assert reply.status_code == status
    return reply.text


def token(client, path):
    """Read the token of a form on a page."""
    return re.search(r'name="csrf_token"[^>]*value="([^"]+)"', see(client, path))[1]


def fill(client, path, page=None, **fields):
    """Send a form as the page offers it."""
    fields["csrf_token"] = token(client, page or path)
    return client.post(path, data=fields, environ_base=LOCAL)
