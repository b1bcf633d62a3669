"""Seal bytes to a public key, so that only its holder reads them (RFC 9180, base mode).

A thin layer over the library: DHKEM(P-256, HKDF-SHA256), HKDF-SHA256, AES-128-GCM.
What a sealed text belongs to goes in as info, which both sides must know. Base mode
proves no sender: whatever is sealed must be signed inside.
"""

from cryptography.exceptions import InvalidTag
from cryptography.hazmat.primitives.hpke import AEAD, KDF, KEM, Suite

from checklist.errors import ChecklistError
from checklist.keys import POINT_BYTES, read_private_key, read_public_key

# The key that is made for each sealing comes first, the check sum last.
OVERHEAD_BYTES = POINT_BYTES + 16
_SUITE = Suite(KEM.P256, KDF.HKDF_SHA256, AEAD.AES_128_GCM)


def seal(public_key: str, plain: bytes, info: bytes) -> bytes:
    """Seal bytes to a public key, a point in base64url; raises device_malformed for a bad key."""
    return _SUITE.encrypt(plain, read_public_key(public_key), info)


def unseal(private_key: str, sealed: bytes, info: bytes) -> bytes:
    """Open what was sealed to a private key in PEM; raises stick_damaged."""
    try:
        return _SUITE.decrypt(sealed, read_private_key(private_key), info)
    except (InvalidTag, ValueError) as error:
        raise ChecklistError("stick_damaged", why="not as it was sealed") from error
