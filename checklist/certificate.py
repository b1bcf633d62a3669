"""A local authority for one place, and the certificate by which tablets know its station.

An authority can vouch for this place's own names and for private addresses, nothing
else. Made once and trusted by every tablet; the certificate below it is renewed.
"""

import ipaddress
import os
import socket
import tempfile
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from checklist.errors import ChecklistError

AUTHORITY, LEAF = "authority", "server"
AUTHORITY_DAYS = 3650
# Browsers take no longer one (the limit of 398 days is their own rule; from memory).
LEAF_DAYS = 397
WARN_DAYS = 60
# Two clocks that differ must not make a fresh certificate one of tomorrow.
EARLY = timedelta(days=1)
PRIVATE = ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8",
           "fc00::/7", "fe80::/10", "::1/128")
_SIGNING = hashes.SHA256()

Name = x509.DNSName | x509.IPAddress


def folder_of(data: Path) -> Path:
    """Give the folder in which authority and certificate lie."""
    return data / "certificate"


def kept(data: Path) -> Path | None:
    """Give the certificate that stands in a data folder, if its key stands beside it."""
    leaf = folder_of(data) / f"{LEAF}.pem"
    return leaf if leaf.is_file() and leaf.with_suffix(".key").is_file() else None


def authority_of(data: Path) -> x509.Certificate | None:
    """Read the authority's certificate; raises certificate_unreadable."""
    path = folder_of(data) / f"{AUTHORITY}.pem"
    if not path.is_file():
        return None
    try:
        return x509.load_pem_x509_certificate(path.read_bytes())
    except (OSError, ValueError) as error:
        raise ChecklistError("certificate_unreadable", certificate=str(path)) from error


def days_left(leaf: Path, now: datetime) -> int:
    """Tell for how many days a certificate is good; raises certificate_unreadable."""
    try:
        ends = x509.load_pem_x509_certificate(leaf.read_bytes()).not_valid_after_utc
    except (OSError, ValueError) as error:
        raise ChecklistError("certificate_unreadable", certificate=str(leaf)) from error
    return (ends - now).days


def make_authority(data: Path, names: list[Name], now: datetime, *, anew: bool = False) -> None:
    """Make the authority of this place; raises authority_kept when there is one, unless anew.

    names: what it may vouch for beside private addresses. Raises data_unwritable.
    """
    if authority_of(data) is not None and not anew:
        raise ChecklistError("authority_kept", folder=str(folder_of(data)))
    key = ec.generate_private_key(ec.SECP256R1())
    subject = _named(f"Birth checklist of {socket.gethostname()}"[:64])
    built = (
        _builder(subject, subject, key.public_key(), now, AUTHORITY_DAYS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .add_extension(
            x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False
        )
        .add_extension(x509.NameConstraints(_allowed(names), None), critical=True)
    )
    _write(folder_of(data), AUTHORITY, key, [built.sign(key, _SIGNING)])


def make_leaf(data: Path, names: list[Name], now: datetime) -> x509.Certificate:
    """Make a certificate for names and addresses; raises certificate_unreadable or _needed.

    The name or address that the authority may not vouch for is named in the refusal.
    """
    authority, signing = authority_of(data), folder_of(data) / f"{AUTHORITY}.key"
    if authority is None:
        raise ChecklistError("certificate_needed", folder=str(folder_of(data)))
    refused = [name for name in names if not _may_vouch(authority, name)]
    if refused:
        raise ChecklistError("authority_kept", name=str(refused[0].value))
    try:
        signer = serialization.load_pem_private_key(signing.read_bytes(), password=None)
    except (OSError, ValueError) as error:
        raise ChecklistError("certificate_unreadable", key=str(signing), why=str(error)) from error
    key = ec.generate_private_key(ec.SECP256R1())
    built = (
        _builder(_named(str(names[0].value)[:64]), authority.subject, key.public_key(), now, LEAF_DAYS)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .add_extension(
            x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False
        )
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(signer.public_key()), critical=False
        )
    )
    leaf = built.sign(signer, _SIGNING)
    _write(folder_of(data), LEAF, key, [leaf, authority])
    return leaf


def read_names(said: list[str]) -> list[Name]:
    """Read names and addresses as a person writes them; raises ValueError for what is neither."""
    return [_name(text) for text in dict.fromkeys(said)]


def found_names() -> list[str]:
    """Give the names and private addresses by which others reach this machine."""
    host = socket.gethostname().split(".")[0].lower()
    names = [f"{host}.local", host, "localhost", "127.0.0.1", *_addresses()]
    return [name for name in dict.fromkeys(names) if _is_name(name)]


def fingerprint(certificate: x509.Certificate) -> str:
    """Spell the SHA-256 of a certificate as browsers do, in pairs."""
    digest = certificate.fingerprint(hashes.SHA256()).hex().upper()
    return " ".join(digest[at : at + 4] for at in range(0, len(digest), 4))


def names_in(leaf: x509.Certificate) -> list[str]:
    """List the names and addresses that a certificate is for."""
    told = leaf.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return [str(name.value) for name in told]


def _addresses() -> list[str]:
    """Find this machine's own addresses; the second way asks no one, it only picks a route."""
    try:
        found = {row[4][0].split("%")[0] for row in socket.getaddrinfo(socket.gethostname(), None)}
    except OSError:
        found = set()
    for family, probe in ((socket.AF_INET, "192.168.0.1"), (socket.AF_INET, "10.0.0.1")):
        with socket.socket(family, socket.SOCK_DGRAM) as asked:
            try:
                asked.connect((probe, 9))
                found.add(asked.getsockname()[0])
            except OSError:
                continue
    return sorted(address for address in found if _is_private(ipaddress.ip_address(address)))


def _is_private(address: ipaddress.IPv4Address | ipaddress.IPv6Address) -> bool:
    nets = (ipaddress.ip_network(net) for net in PRIVATE)
    return any(address.version == net.version and address in net for net in nets)


def _name(text: str) -> Name:
    try:
        return x509.IPAddress(ipaddress.ip_address(text))
    except ValueError:
        pass
    if not _is_name(text):
        raise ValueError(text)
    return x509.DNSName(text.lower())


def _is_name(text: str) -> bool:
    letters = frozenset("abcdefghijklmnopqrstuvwxyz0123456789-")
    labels = text.lower().split(".")
    return len(text) <= 253 and all(
        0 < len(label) <= 63 and letters.issuperset(label) and label.strip("-") == label
        for label in labels
    )


def _allowed(names: list[Name]) -> list[x509.GeneralName]:
    own = [x509.DNSName("local"), x509.DNSName("localhost")]
    own += [name for name in names if isinstance(name, x509.DNSName) and name not in own]
    nets = [ipaddress.ip_network(net) for net in PRIVATE]
    nets += [
        ipaddress.ip_network(name.value) for name in names
        if isinstance(name, x509.IPAddress) and not _is_private(name.value)
    ]
    return own + [x509.IPAddress(net) for net in nets]


def _may_vouch(authority: x509.Certificate, name: Name) -> bool:
    told = authority.extensions.get_extension_for_class(x509.NameConstraints).value
    for allowed in told.permitted_subtrees or ():
        if isinstance(name, x509.IPAddress) and isinstance(allowed, x509.IPAddress):
            if name.value.version == allowed.value.version and name.value in allowed.value:
                return True
        elif isinstance(name, x509.DNSName) and isinstance(allowed, x509.DNSName):
            if f".{name.value}".endswith(f".{allowed.value}"):
                return True
    return False


def _builder(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePublicKey, now: datetime, days: int
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder().subject_name(subject).issuer_name(issuer).public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - EARLY).not_valid_after(now - EARLY + timedelta(days=days))
    )


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates, key_cert_sign=signs_certificates,
        crl_sign=signs_certificates, content_commitment=False, key_encipherment=False,
        data_encipherment=False, key_agreement=False, encipher_only=False, decipher_only=False,
    )


def _named(text: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text)])


def _write(
    folder: Path, name: str, key: ec.EllipticCurvePrivateKey, chain: list[x509.Certificate]
) -> None:
    """Write key and chain, each whole or not at all, for the owner's eyes alone."""
    secret = key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    public = b"".join(one.public_bytes(serialization.Encoding.PEM) for one in chain)
    try:
        folder.mkdir(parents=True, exist_ok=True, mode=0o700)
        for path, text in ((folder / f"{name}.key", secret), (folder / f"{name}.pem", public)):
            # A file of this kind is made for its owner alone (mode 0600).
            handle, part = tempfile.mkstemp(dir=folder)
            with os.fdopen(handle, "wb") as out:
                out.write(text)
                out.flush()
                os.fsync(out.fileno())
            os.replace(part, path)
    except OSError as error:
        raise ChecklistError("data_unwritable", folder=str(folder), why=str(error)) from error
