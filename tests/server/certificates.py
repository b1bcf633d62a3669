"""Certificates for a server at 127.0.0.1 that vouch for themselves."""

import datetime
import ipaddress
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID


def self_signed(folder: Path, name: str, *, is_authority: bool = False) -> Path:
    """Make <name>.pem and <name>.key, good for a day; gives the certificate's file."""
    key = ec.generate_private_key(ec.SECP256R1())
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"{name}.test")])
    day, now = datetime.timedelta(days=1), datetime.datetime.now(datetime.UTC)
    built = (
        x509.CertificateBuilder().subject_name(subject).issuer_name(subject)
        .public_key(key.public_key()).serial_number(x509.random_serial_number())
        .not_valid_before(now - day).not_valid_after(now + day)
        .add_extension(
            x509.SubjectAlternativeName([x509.IPAddress(ipaddress.ip_address("127.0.0.1"))]), False
        )
    )
    if is_authority:
        built = built.add_extension(x509.BasicConstraints(True, 0), True)
    chain = folder / f"{name}.pem"
    chain.write_bytes(built.sign(key, hashes.SHA256()).public_bytes(serialization.Encoding.PEM))
    chain.with_suffix(".key").write_bytes(key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption(),
    ))
    return chain
