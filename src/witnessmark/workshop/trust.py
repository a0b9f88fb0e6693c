"""A certificate for the workshop's own network, and the authority that phones learn to trust.

The authority may speak only for this machine's name and private addresses; the constraint is
critical, so that whoever took its key could impersonate nothing else. The certificate lives
for little more than a year and is made anew in time. Keys stay in the workshop's folder,
readable by their owner alone, and go into no backup.
"""

from __future__ import annotations

import os
import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from ipaddress import IPv4Address, IPv4Network, IPv6Address, IPv6Network, ip_network
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

Address = IPv4Address | IPv6Address

LEAF_LIVES = timedelta(days=397)
"""Phones take no certificate that lives longer than 398 days."""

AUTHORITY_LIVES = timedelta(days=3_650)
RENEW_BEFORE = timedelta(days=60)
_CLOCKS_DIFFER = timedelta(days=1)
"""A phone's clock may be behind: what was made just now must be valid for it."""


class TrustError(ValueError):
    """Files of trust that cannot be used; the text says which and what to do."""


@dataclass(frozen=True, slots=True)
class Names:
    """What the machine is called on the network: its name ending in .local, and its addresses."""

    host: str
    addresses: tuple[Address, ...]


@dataclass(frozen=True, slots=True)
class Trust:
    """Where the certificates and keys lie, what the certificate covers, and what it cannot."""

    folder: Path
    covers: Names
    left_out: tuple[Address, ...] = ()

    @property
    def certificate(self) -> Path:
        """The server's certificate, followed by the authority's."""
        return self.folder / "server.crt"

    @property
    def key(self) -> Path:
        """The server's key."""
        return self.folder / "server.key"


def authority_file(folder: Path) -> Path:
    """Give where the authority's certificate lies below a workshop's folder of trust."""
    return folder / "authority.crt"


def authority_bytes(folder: Path) -> bytes | None:
    """Give the authority's certificate as phones install it (DER); None where there is none."""
    path = authority_file(folder)
    if not path.is_file():
        return None
    return _certificate(path).public_bytes(serialization.Encoding.DER)


def fingerprint(certificate: bytes) -> str:
    """Give the SHA-256 of a certificate as phones show it: pairs of letters and figures."""
    digest = hashes.Hash(hashes.SHA256())
    digest.update(certificate)
    return digest.finalize().hex(":").upper()


def make_trust(folder: Path, names: Names, at: datetime, *, anew: bool = False) -> Trust:
    """Make, keep or renew what is needed to be trusted under these names.

    The authority stays as it is while it speaks for the machine's name; an address it does not
    speak for is left out of the certificate. `anew` makes another authority, which every
    phone must be taught again.

    Raises
    ------
    TrustError
        If files there cannot be read.
    OSError
        If files cannot be written.
    """
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    folder.chmod(0o700)
    authority, key = _authority(folder, names, at, anew=anew)
    allowed = _permitted_addresses(authority)
    inside = tuple(each for each in names.addresses if any(each in net for net in allowed))
    trust = Trust(folder, Names(names.host, inside), tuple(set(names.addresses) - set(inside)))
    if not _still_good(trust, authority, at):
        _write_leaf(trust, authority, key, at)
    return trust


def _authority(
    folder: Path, names: Names, at: datetime, *, anew: bool
) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    path, key_path = authority_file(folder), folder / "authority.key"
    if path.is_file() and key_path.is_file() and not anew:
        found, key = _certificate(path), _key(key_path)
        lasts = found.not_valid_after_utc > at + LEAF_LIVES
        if lasts and names.host in _permitted_names(found):
            return found, key
    key = ec.generate_private_key(ec.SECP256R1())
    made = _signed_authority(names, key, at)
    _write(key_path, _key_bytes(key))
    _write(path, made.public_bytes(serialization.Encoding.PEM))
    return made, key


def _signed_authority(
    names: Names, key: ec.EllipticCurvePrivateKey, at: datetime
) -> x509.Certificate:
    """Make an authority for these names and no others: critical, and no authority below it."""
    subject = _name(f"Workshop at {names.host}, made {at:%Y-%m-%d}")
    nets = [x509.IPAddress(ip_network(each)) for each in names.addresses]
    # With no address of a kind permitted, all of that kind are excluded by name.
    whole = ["0.0.0.0/0", "::/0"]
    excluded = [] if nets else [x509.IPAddress(ip_network(each)) for each in whole]
    constraints = x509.NameConstraints([x509.DNSName(names.host), *nets], excluded or None)
    usage = _usage(key_cert_sign=True, crl_sign=True)
    own = x509.SubjectKeyIdentifier.from_public_key(key.public_key())
    return (
        _begun(subject, subject, key.public_key(), at, AUTHORITY_LIVES)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(constraints, critical=True)
        .add_extension(own, critical=False)
        .sign(key, hashes.SHA256())
    )


def _write_leaf(
    trust: Trust, authority: x509.Certificate, key: ec.EllipticCurvePrivateKey, at: datetime
) -> None:
    own_key = ec.generate_private_key(ec.SECP256R1())
    names: list[x509.GeneralName] = [x509.DNSName(trust.covers.host)]
    names += [x509.IPAddress(each) for each in trust.covers.addresses]
    issuer_key = x509.AuthorityKeyIdentifier.from_issuer_public_key(key.public_key())
    subject_key = x509.SubjectKeyIdentifier.from_public_key(own_key.public_key())
    server = x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH])
    subject = _name(trust.covers.host)
    leaf = (
        _begun(subject, authority.subject, own_key.public_key(), at, LEAF_LIVES)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(digital_signature=True), critical=True)
        .add_extension(server, critical=False)
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .add_extension(issuer_key, critical=False)
        .add_extension(subject_key, critical=False)
        .sign(key, hashes.SHA256())
    )
    _write(trust.key, _key_bytes(own_key))
    chain = [leaf, authority]
    pem = b"".join(each.public_bytes(serialization.Encoding.PEM) for each in chain)
    _write(trust.certificate, pem)


def _begun(
    subject: x509.Name,
    issuer: x509.Name,
    key: ec.EllipticCurvePublicKey,
    at: datetime,
    lives: timedelta,
) -> x509.CertificateBuilder:
    begins = at - _CLOCKS_DIFFER
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(begins)
        .not_valid_after(begins + lives)
    )


def _usage(
    *, digital_signature: bool = False, key_cert_sign: bool = False, crl_sign: bool = False
) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=digital_signature,
        key_cert_sign=key_cert_sign,
        crl_sign=crl_sign,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _name(common: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, common[:64])])


# Looking at what is there


def _still_good(trust: Trust, authority: x509.Certificate, at: datetime) -> bool:
    """Tell whether the certificate there is this authority's, for these names, and lasts."""
    if not (trust.certificate.is_file() and trust.key.is_file()):
        return False
    leaf, key = _certificate(trust.certificate), _key(trust.key)
    try:
        leaf.verify_directly_issued_by(authority)
    except (ValueError, TypeError, InvalidSignature):
        return False
    said = leaf.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    covers = (said.get_values_for_type(x509.DNSName), said.get_values_for_type(x509.IPAddress))
    wanted = ([trust.covers.host], list(trust.covers.addresses))
    lasts = leaf.not_valid_before_utc <= at < leaf.not_valid_after_utc - RENEW_BEFORE
    return covers == wanted and lasts and leaf.public_key() == key.public_key()


def _permitted(authority: x509.Certificate) -> Sequence[x509.GeneralName]:
    found = authority.extensions.get_extension_for_class(x509.NameConstraints)
    return found.value.permitted_subtrees or ()


def _permitted_names(authority: x509.Certificate) -> list[str]:
    return [each.value for each in _permitted(authority) if isinstance(each, x509.DNSName)]


def _permitted_addresses(authority: x509.Certificate) -> list[IPv4Network | IPv6Network]:
    found = [each.value for each in _permitted(authority)]
    return [each for each in found if isinstance(each, IPv4Network | IPv6Network)]


def _certificate(path: Path) -> x509.Certificate:
    try:
        return x509.load_pem_x509_certificate(path.read_bytes())
    except ValueError:
        raise TrustError(f"{path} is damaged: delete {path.parent} to begin trust anew") from None


def _key(path: Path) -> ec.EllipticCurvePrivateKey:
    try:
        found = serialization.load_pem_private_key(path.read_bytes(), password=None)
    except ValueError:
        found = None
    if not isinstance(found, ec.EllipticCurvePrivateKey):
        raise TrustError(f"{path} is damaged: delete {path.parent} to begin trust anew")
    return found


def _key_bytes(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )


def _write(path: Path, data: bytes) -> None:
    """Write a file whole or not at all, readable by its owner alone from the beginning."""
    beside = path.with_name(f".{path.name}.{secrets.token_hex(4)}")
    handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())
    beside.replace(path)


def now() -> datetime:
    """Give the present moment."""
    return datetime.now(UTC)
