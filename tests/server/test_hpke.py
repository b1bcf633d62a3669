"""What is sealed to a key opens with it alone, by the numbers that the RFC publishes."""

import json
from pathlib import Path

import pytest
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.ciphers.aead import AESGCM

from checklist import hpke, keys
from checklist.errors import ChecklistError

VECTOR = json.loads((Path(__file__).parents[1] / "vectors" / "hpke.json").read_text("utf-8"))
RAW = {name: bytes.fromhex(text) for name, text in VECTOR.items() if name != "about"}


def pem(scalar: bytes) -> str:
    """Write a private key, given as its number, as PEM."""
    key = ec.derive_private_key(int.from_bytes(scalar), ec.SECP256R1())
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    ).decode()


def test_the_published_private_key_has_the_published_point():
    assert keys.public_key_of(pem(RAW["skRm"])) == keys.encode(RAW["pkRm"])


def test_what_the_published_key_and_nonce_encrypt_opens():
    # The library's one call takes no associated data, so the published ciphertext itself
    # is left to the tablet's half; key and nonce are the RFC's.
    sealed = RAW["enc"] + AESGCM(RAW["key"]).encrypt(RAW["base_nonce"], RAW["pt"], b"")

    assert hpke.unseal(pem(RAW["skRm"]), sealed, RAW["info"]) == RAW["pt"]


def test_a_sealed_text_opens_and_no_two_are_alike():
    private_key = keys.new_private_key()
    public_key = keys.public_key_of(private_key)
    first, second = (hpke.seal(public_key, b"births", b"week 48") for _ in range(2))

    assert first != second
    assert len(first) == len(b"births") + hpke.OVERHEAD_BYTES
    assert hpke.unseal(private_key, first, b"week 48") == b"births"


@pytest.mark.parametrize("place", [0, 1, 40, 64, 65, 70, -1])
def test_a_changed_byte_is_noticed(place):
    private_key = keys.new_private_key()
    sealed = bytearray(hpke.seal(keys.public_key_of(private_key), b"births", b""))
    sealed[place] ^= 1

    with pytest.raises(ChecklistError) as refused:
        hpke.unseal(private_key, bytes(sealed), b"")
    assert refused.value.code == "stick_damaged"


def test_another_key_and_another_info_open_nothing():
    private_key = keys.new_private_key()
    sealed = hpke.seal(keys.public_key_of(private_key), b"births", b"one")

    for key, info in ((keys.new_private_key(), b"one"), (private_key, b"two")):
        with pytest.raises(ChecklistError):
            hpke.unseal(key, sealed, info)


@pytest.mark.parametrize("length", [0, 1, 64, 65, 80])
def test_what_is_too_short_is_noticed(length):
    with pytest.raises(ChecklistError):
        hpke.unseal(keys.new_private_key(), bytes(length), b"")
