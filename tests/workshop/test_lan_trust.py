"""The authority and the certificate, judged by two verifiers that share nothing with their making.

`cryptography.x509.verification` follows RFC 5280 and the CA/Browser Forum's profile; OpenSSL does
a handshake. Both must refuse the negative controls.
"""

from __future__ import annotations

import os
import ssl
import stat
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address, ip_network

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError

from witnessmark.workshop.network import NameRefusedError, names_here
from witnessmark.workshop.trust import (
    LEAF_LIVES,
    RENEW_BEFORE,
    Names,
    TrustError,
    authority_bytes,
    fingerprint,
    make_trust,
)

NOW = datetime.now(UTC).replace(microsecond=0)
HERE = Names("bay-1.local", (ip_address("192.168.7.20"), ip_address("10.0.3.4")))


@pytest.fixture
def folder(tmp_path):
    return tmp_path / "trust"


def certificates(folder):
    """Give the server's certificate and the authority's."""
    leaf, authority = x509.load_pem_x509_certificates((folder / "server.crt").read_bytes())
    assert authority.public_bytes(serialization.Encoding.DER) == authority_bytes(folder)
    return leaf, authority


def subject_of(name):
    kind = x509.IPAddress if name[0].isdigit() or ":" in name else x509.DNSName
    return kind(ip_address(name) if kind is x509.IPAddress else name)


def verified(leaf, authority, name, at=NOW):
    policy = PolicyBuilder().store(Store([authority])).time(at)
    return policy.build_server_verifier(subject_of(name)).verify(leaf, [])


def rogue(folder, *names, authority=None, key=None):
    """Sign a certificate for other names with the authority's own key, as a thief of it would."""
    if authority is None:
        authority = certificates(folder)[1]
        key = serialization.load_pem_private_key((folder / "authority.key").read_bytes(), None)
    own = ec.generate_private_key(ec.SECP256R1())
    made = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, names[0])]))
        .issuer_name(authority.subject)
        .public_key(own.public_key())
        .serial_number(7)
        .not_valid_before(NOW - timedelta(hours=1))
        .not_valid_after(NOW + timedelta(days=30))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.SubjectAlternativeName([subject_of(n) for n in names]), critical=False)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(
            x509.AuthorityKeyIdentifier.from_issuer_public_key(key.public_key()), critical=False
        )
        .sign(key, hashes.SHA256())
    )
    return made, own


def shaken_hands(certificate_file, key_file, authority_file, name):
    """Do a TLS handshake in memory with OpenSSL; raise where the client refuses."""
    to_server, to_client = ssl.MemoryBIO(), ssl.MemoryBIO()
    serving = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    serving.load_cert_chain(certificate_file, key_file)
    asking = ssl.create_default_context(cafile=authority_file)
    server = serving.wrap_bio(to_server, to_client, server_side=True)
    client = asking.wrap_bio(to_client, to_server, server_hostname=name)
    for _ in range(3):
        for side in (client, server):
            try:
                side.do_handshake()
            except ssl.SSLWantReadError:
                continue
    return client.getpeercert()["subjectAltName"]


# What it is good for


@pytest.mark.parametrize("name", ["bay-1.local", "192.168.7.20", "10.0.3.4"])
def test_both_verifiers_trust_every_name_of_the_machine(folder, name):
    trust = make_trust(folder, HERE, NOW)
    assert trust.left_out == ()
    leaf, authority = certificates(folder)
    assert [each.subject for each in verified(leaf, authority, name)] == [
        leaf.subject,
        authority.subject,
    ]
    assert shaken_hands(trust.certificate, trust.key, folder / "authority.crt", name)


def test_the_authority_speaks_for_this_machine_alone(folder):
    make_trust(folder, HERE, NOW)
    _, authority = certificates(folder)
    constraints = authority.extensions.get_extension_for_class(x509.NameConstraints)
    assert constraints.critical
    assert constraints.value.permitted_subtrees == [
        x509.DNSName("bay-1.local"),
        x509.IPAddress(ip_network("192.168.7.20/32")),
        x509.IPAddress(ip_network("10.0.3.4/32")),
    ]
    basic = authority.extensions.get_extension_for_class(x509.BasicConstraints)
    assert (basic.critical, basic.value.ca, basic.value.path_length) == (True, True, 0)


def test_the_certificate_lives_no_longer_than_phones_allow(folder):
    make_trust(folder, HERE, NOW)
    leaf, authority = certificates(folder)
    assert leaf.not_valid_after_utc - leaf.not_valid_before_utc <= timedelta(days=397)
    assert leaf.not_valid_after_utc < authority.not_valid_after_utc
    with pytest.raises(VerificationError):
        verified(leaf, authority, "bay-1.local", leaf.not_valid_after_utc + timedelta(seconds=1))


# Negative controls


@pytest.mark.parametrize(
    "name", ["bank.example", "bay-2.local", "192.168.7.21", "8.8.8.8", "fd00::1"]
)
@pytest.mark.parametrize("names", [HERE, Names("bay-1.local", ())], ids=["addresses", "none"])
def test_what_a_thief_of_the_authority_signs_for_other_names_is_refused(
    folder, tmp_path, name, names
):
    make_trust(folder, names, NOW)
    leaf, key = rogue(folder, name)
    authority = certificates(folder)[1]
    with pytest.raises(VerificationError):
        verified(leaf, authority, name)
    (tmp_path / "r.crt").write_bytes(leaf.public_bytes(serialization.Encoding.PEM))
    (tmp_path / "r.key").write_bytes(
        key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
    )
    with pytest.raises(ssl.SSLCertVerificationError, match=r"(permitted|excluded) subtree"):
        shaken_hands(tmp_path / "r.crt", tmp_path / "r.key", folder / "authority.crt", name)


def test_the_same_thief_could_sign_for_the_machine_itself(folder):
    """The control of the control: it is the constraint that refuses, not how the rogue is made."""
    make_trust(folder, HERE, NOW)
    leaf, _ = rogue(folder, "bay-1.local", "192.168.7.20")
    assert verified(leaf, certificates(folder)[1], "bay-1.local")


def test_an_unknown_authority_of_the_same_name_is_refused(folder, tmp_path):
    make_trust(folder, HERE, NOW)
    other = tmp_path / "other"
    trust = make_trust(other, HERE, NOW)
    with pytest.raises(VerificationError):
        verified(certificates(other)[0], certificates(folder)[1], "bay-1.local")
    with pytest.raises(ssl.SSLCertVerificationError):
        shaken_hands(trust.certificate, trust.key, folder / "authority.crt", "bay-1.local")


def test_a_certificate_is_no_authority(folder):
    """Whoever has the server's key alone can sign nothing."""
    trust = make_trust(folder, HERE, NOW)
    leaf, authority = certificates(folder)
    key = serialization.load_pem_private_key(trust.key.read_bytes(), None)
    below, _ = rogue(folder, "bay-1.local", authority=leaf, key=key)
    policy = PolicyBuilder().store(Store([authority])).time(NOW)
    with pytest.raises(VerificationError):
        policy.build_server_verifier(x509.DNSName("bay-1.local")).verify(below, [leaf])


# Keeping and renewing


def test_nothing_changes_while_it_is_good(folder):
    make_trust(folder, HERE, NOW)
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    make_trust(folder, HERE, NOW + timedelta(days=300))
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


def test_it_is_renewed_in_time_by_the_same_authority(folder):
    make_trust(folder, HERE, NOW)
    first, authority = certificates(folder)
    late = first.not_valid_after_utc - RENEW_BEFORE
    make_trust(folder, HERE, late)
    second, same = certificates(folder)
    assert second != first
    assert same == authority
    assert verified(second, same, "bay-1.local", late + LEAF_LIVES - timedelta(days=2))


def test_a_new_address_is_left_out_until_trust_is_begun_anew(folder):
    make_trust(folder, HERE, NOW)
    moved = Names("bay-1.local", (ip_address("192.168.7.99"), ip_address("10.0.3.4")))
    trust = make_trust(folder, moved, NOW)
    assert trust.left_out == (ip_address("192.168.7.99"),)
    leaf, authority = certificates(folder)
    assert verified(leaf, authority, "10.0.3.4")
    with pytest.raises(VerificationError):
        verified(leaf, authority, "192.168.7.20")
    anew = make_trust(folder, moved, NOW, anew=True)
    assert anew.left_out == ()
    leaf, another = certificates(folder)
    assert another != authority
    assert verified(leaf, another, "192.168.7.99")


@pytest.mark.parametrize(
    "change",
    [
        lambda folder: (folder / "server.key").unlink(),
        lambda folder: (folder / "authority.key").unlink(),
        lambda folder: make_trust(folder, Names("bay-9.local", ()), NOW),
        lambda folder: make_trust(folder, HERE, NOW - timedelta(days=4_000)),
    ],
    ids=["no key", "no authority's key", "another name", "authority at its end"],
)
def test_what_does_not_fit_is_made_anew(folder, change):
    make_trust(folder, HERE, NOW)
    change(folder)
    make_trust(folder, HERE, NOW)
    leaf, authority = certificates(folder)
    assert verified(leaf, authority, "bay-1.local")
    key = serialization.load_pem_private_key((folder / "server.key").read_bytes(), None)
    assert key.public_key() == leaf.public_key()


@pytest.mark.parametrize("name", ["authority.crt", "authority.key", "server.crt", "server.key"])
def test_a_damaged_file_is_named_with_what_to_do(folder, name):
    make_trust(folder, HERE, NOW)
    (folder / name).write_text("nonsense")
    with pytest.raises(TrustError, match=rf"{name} is damaged: delete .*trust to begin trust anew"):
        make_trust(folder, HERE, NOW)


def test_keys_are_readable_by_their_owner_alone_whatever_the_mask(folder):
    before = os.umask(0)
    try:
        make_trust(folder, HERE, NOW)
    finally:
        os.umask(before)
    modes = {path.name: stat.S_IMODE(path.stat().st_mode) for path in folder.iterdir()}
    assert set(modes) == {"authority.crt", "authority.key", "server.crt", "server.key"}
    assert set(modes.values()) == {0o600}
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_the_fingerprint_is_the_one_others_work_out(folder):
    """Against OpenSSL's name for it: SHA-256 over the DER bytes."""
    import hashlib

    make_trust(folder, HERE, NOW)
    plain = hashlib.sha256(authority_bytes(folder)).hexdigest().upper()
    assert fingerprint(authority_bytes(folder)).replace(":", "") == plain


# Names


def test_names_are_those_given_or_the_machine_s_own(monkeypatch):
    given = names_here("Bay-1.local", ["192.168.7.20"])
    assert given == Names("bay-1.local", (ip_address("192.168.7.20"),))
    monkeypatch.setattr("socket.gethostname", lambda: "Bay_2.shop.example")
    assert names_here(None, []).host == "bay-2.local"


@pytest.mark.parametrize(
    "name", ["bay", "bay.example", "-a.local", "a.b.local", "*.local", ".local"]
)
def test_a_name_that_is_not_of_the_local_network_is_refused(name):
    with pytest.raises(NameRefusedError, match=r"one word and \.local"):
        names_here(name, [])


@pytest.mark.parametrize("said", ["8.8.8.8", "127.0.0.1", "169.254.1.1", "::", "bay", "::1"])
def test_an_address_that_is_not_private_is_refused(said):
    with pytest.raises(NameRefusedError):
        names_here("bay-1.local", [said])
