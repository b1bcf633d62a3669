"""Sign and verify with ECDSA over P-256, in the forms that browsers write.

A public key travels as its 65-byte point, a signature as r and s side by side;
both as base64url without padding. Knows no device, file or request.
"""

import base64
import binascii
import hashlib
from functools import lru_cache

from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec, utils

from checklist.errors import ChecklistError

POINT_BYTES = 65
HALF_SIGNATURE_BYTES = 32
DEVICE_ID_LETTERS = 32
_SHA256 = ec.ECDSA(hashes.SHA256())


def encode(raw: bytes) -> str:
    """Write bytes as base64url without padding."""
    return base64.urlsafe_b64encode(raw).rstrip(b"=").decode()


def decode(text: str, length: int) -> bytes:
    """Read base64url of exactly so many bytes; raises device_malformed."""
    try:
        raw = base64.b64decode(text + "=" * (-len(text) % 4), altchars=b"-_", validate=True)
    except (binascii.Error, ValueError, TypeError):
        raise ChecklistError("device_malformed", why="base64url") from None
    if len(raw) != length or encode(raw) != text:
        raise ChecklistError("device_malformed", why="length")
    return raw


@lru_cache(maxsize=4096)
def read_public_key(text: str) -> ec.EllipticCurvePublicKey:
    """Read a public key from its base64url point; raises device_malformed."""
    try:
        return ec.EllipticCurvePublicKey.from_encoded_point(
            ec.SECP256R1(), decode(text, POINT_BYTES)
        )
    except ValueError:
        raise ChecklistError("device_malformed", why="not on the curve") from None


def device_id(public_key: str) -> str:
    """Name a device by its key: the first 32 hexadecimal digits of SHA-256."""
    return hashlib.sha256(decode(public_key, POINT_BYTES)).hexdigest()[:DEVICE_ID_LETTERS]


def digest(text: str) -> str:
    """Give the SHA-256 of a text in hexadecimal digits."""
    return hashlib.sha256(text.encode()).hexdigest()


def is_signed(public_key: str, message: str, signature: str) -> bool:
    """Tell whether the holder of the key signed the message; raises device_malformed
    when the key itself is none.
    """
    key = read_public_key(public_key)
    try:
        raw = decode(signature, 2 * HALF_SIGNATURE_BYTES)
        r, s = raw[:HALF_SIGNATURE_BYTES], raw[HALF_SIGNATURE_BYTES:]
        pair = utils.encode_dss_signature(int.from_bytes(r), int.from_bytes(s))
        key.verify(pair, message.encode(), _SHA256)
    except (InvalidSignature, ChecklistError):
        return False
    return True


def new_private_key() -> str:
    """Make a private key, written as PEM."""
    key = ec.generate_private_key(ec.SECP256R1())
    return key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    ).decode()


def public_key_of(private_key: str) -> str:
    """Give the public half, as it travels, of a private key in PEM."""
    point = read_private_key(private_key).public_key().public_bytes(
        serialization.Encoding.X962, serialization.PublicFormat.UncompressedPoint
    )
    return encode(point)


def sign(private_key: str, message: str) -> str:
    """Sign a message with a private key in PEM."""
    pair = read_private_key(private_key).sign(message.encode(), _SHA256)
    return encode(
        b"".join(
            half.to_bytes(HALF_SIGNATURE_BYTES) for half in utils.decode_dss_signature(pair)
        )
    )


@lru_cache(maxsize=64)
def read_private_key(text: str) -> ec.EllipticCurvePrivateKey:
    """Read a private key in PEM."""
    return serialization.load_pem_private_key(text.encode(), password=None)
