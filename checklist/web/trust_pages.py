"""How a tablet comes to trust this station: in words, with drawings, and with the authority's file."""

import re

from cryptography.hazmat.primitives.serialization import Encoding
from flask import Blueprint, Response, render_template, request

from checklist import certificate
from checklist.door import PORT
from checklist.errors import ChecklistError
from checklist.web.parts import parts
from checklist.web.problems import as_json

HOST = re.compile(r"([A-Za-z0-9.-]{1,253}|\[[0-9a-fA-F:.]{2,45}\])(?::[0-9]{1,5})?")

trust = Blueprint("trust", __name__)


@trust.get("/trust")
def explain() -> str:
    """Explain how to trust the authority; raises not_found where there is none."""
    return render_template(
        "trust.html", fingerprint=certificate.fingerprint(_authority()),
        plain=PORT in request.environ, address=_address(),
    )


@trust.get("/trust/authority.cer")
def authority() -> Response:
    """Give the authority's certificate as tablets take it in."""
    return Response(
        _authority().public_bytes(Encoding.DER), mimetype="application/x-x509-ca-cert",
        headers={"Content-Disposition": "attachment; filename=authority.cer"},
    )


@trust.get("/trust/refused")
def refused() -> Response:
    """Refuse, as every exchange is refused, what came through the plain door."""
    return as_json(ChecklistError("door_plain", address=_address()))


def _authority():
    found = certificate.authority_of(parts().settings.data)
    if found is None:
        raise ChecklistError("not_found")
    return found


def _address() -> str:
    """Give the https address by the name that was asked for, as far as that is a name at all."""
    asked = HOST.fullmatch(request.host)
    host = asked[1] if asked else parts().settings.host
    port = request.environ.get(PORT)
    if port is None:
        return f"https://{request.host if asked else host}/"
    return f"https://{host}:{port}/"
