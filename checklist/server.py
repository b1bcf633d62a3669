"""Serve the app over http on loopback, or over https anywhere.

Browsers give service worker and keys only to https and localhost, so plain http
on a network would make a tablet app that cannot work offline: it is refused.
"""

import errno
import ssl
from dataclasses import replace
from pathlib import Path

from cheroot.errors import FatalSSLAlert
from cheroot.ssl.builtin import BuiltinSSLAdapter
from cheroot.wsgi import Server
from flask import Flask

from checklist.config import Settings
from checklist.door import Door
from checklist.errors import ChecklistError
from checklist.web.local import is_loopback

# More threads than tablets: ten were measured to make one request in a hundred wait a second.
THREADS = 24
PATIENCE_S = 5
# A file from a memory stick and its form; what is longer is cut off before it is read.
LARGEST_BODY = 65 * 1024 * 1024
LARGEST_HEAD = 64 * 1024
# The numbers that browsers look for under the name localhost.
NUMBERS = ("127.0.0.1", "::1")


class ShakingSocket(ssl.SSLSocket):
    """A TLS socket whose failed handshake ends the connection and nothing more.

    A tablet that does not trust the certificate yet tries again and again; a
    trace for each try would bury what matters.
    """

    def recv_into(self, *where, **how):
        """Read; a break of the TLS rules becomes the alert that the server expects."""
        try:
            return super().recv_into(*where, **how)
        except ssl.SSLError as error:
            raise FatalSSLAlert(*error.args) from error


class LazyTLS(BuiltinSSLAdapter):
    """Shakes hands at the first read, in a worker thread.

    The library's own adapter does it while accepting, where one silent client
    was measured to hold up everyone else for ten seconds.
    """

    def wrap(self, sock):
        """Wrap an accepted socket without talking to it yet."""
        wrapped = self.context.wrap_socket(
            sock, server_side=True, do_handshake_on_connect=False, suppress_ragged_eofs=True
        )
        return wrapped, {"wsgi.url_scheme": "https", "HTTPS": "on"}


def prepare(app: Flask, settings: Settings) -> Server:
    """Bind the address; raises certificate_needed, certificate_unreadable or port_in_use."""
    refuse_plain_network(settings)
    server = Server(
        (settings.host, settings.port), app, numthreads=THREADS, timeout=PATIENCE_S,
        server_name=settings.host,
    )
    server.max_request_body_size = LARGEST_BODY
    server.max_request_header_size = LARGEST_HEAD
    if settings.certificate:
        server.ssl_adapter = _adapter(settings.certificate)
    try:
        server.prepare()
    except OSError as error:
        server.stop()
        raise _cannot_bind(settings, error) from error
    return server


def prepare_door(app: Flask, settings: Settings, server: Server, port: int) -> Server:
    """Bind the plain door beside an https server; raises port_in_use."""
    door = Server((settings.host, port), Door(app, server.bind_addr[1]), numthreads=2, timeout=PATIENCE_S)
    door.max_request_body_size = door.max_request_header_size = LARGEST_HEAD
    try:
        door.prepare()
    except OSError as error:
        door.stop()
        raise _cannot_bind(replace(settings, port=port), error) from error
    return door


def refuse_plain_network(settings: Settings) -> None:
    """Refuse http on anything but loopback; raises certificate_needed."""
    if settings.certificate is None and not is_loopback(settings.host):
        raise ChecklistError("certificate_needed", host=settings.host)


def address(server: Server, settings: Settings) -> str:
    """Give the address that a person types into a browser.

    The name is part of what a browser keeps a tablet's store by, so this machine is
    always called localhost; only a certificate may vouch for another name.
    """
    port = server.bind_addr[1]
    if settings.certificate is None and settings.host in NUMBERS:
        return f"http://localhost:{port}/"
    scheme = "https" if settings.certificate else "http"
    host = f"[{settings.host}]" if ":" in settings.host else settings.host
    return f"{scheme}://{host}:{port}/"


def _adapter(certificate: Path) -> LazyTLS:
    key = certificate.with_suffix(".key")
    try:
        adapter = LazyTLS(str(certificate), str(key))
    except (OSError, ssl.SSLError) as error:
        raise ChecklistError(
            "certificate_unreadable", certificate=str(certificate), key=str(key), why=str(error)
        ) from error
    adapter.context.sslsocket_class = ShakingSocket
    adapter.context.minimum_version = ssl.TLSVersion.TLSv1_2
    return adapter


def _cannot_bind(settings: Settings, error: OSError) -> ChecklistError:
    # The library wraps the reason into a text of its own; the number is kept when it is there.
    busy = error.errno == errno.EADDRINUSE or "in use" in str(error).lower()
    why = "in use" if busy else str(error)
    return ChecklistError("port_in_use", host=settings.host, port=settings.port, why=why)
