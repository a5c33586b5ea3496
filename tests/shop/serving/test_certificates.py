"""The authority and its certificates, held against outside verifiers.

``openssl verify -x509_strict`` and cryptography's own path validation (both
RFC 5280) say yes or no; a real handshake by ``ssl`` says it once more.
"""

import datetime as dt
import ipaddress
import shutil
import socket
import ssl
import subprocess
import threading
from pathlib import Path

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.x509 import verification

from shop.serving import certificates as own
from shop.serving.certificates import Due, Hosts, NothingAllowed, Pair
from shop.serving.keeping import pem_of

pytestmark = pytest.mark.one_database

NOW = dt.datetime.now(dt.UTC).replace(microsecond=0)
DAY = dt.timedelta(days=1)
HOSTS = Hosts(
    ("coldrail.local", "counter", "localhost"),
    (ipaddress.ip_address("192.168.7.20"), ipaddress.ip_address("fd00::20")),
)


@pytest.fixture(scope="module")
def authority() -> Pair:
    return own.make_authority("Hollin Lane", HOSTS, NOW)


@pytest.fixture(scope="module")
def leaf(authority: Pair) -> Pair:
    return own.make_leaf(authority, HOSTS, NOW)


def verified(
    leaf: Pair, authority: Pair, host: str, at: dt.datetime = NOW
) -> list[x509.Certificate]:
    """cryptography's verifier, which is none of ours."""
    try:
        subject: x509.GeneralName = x509.IPAddress(ipaddress.ip_address(host))
    except ValueError:
        subject = x509.DNSName(host)
    store = verification.Store([authority.certificate])
    builder = verification.PolicyBuilder().store(store).time(at)
    assert isinstance(subject, x509.DNSName | x509.IPAddress)
    return builder.build_server_verifier(subject).verify(leaf.certificate, [])


@pytest.mark.parametrize("host", HOSTS.words())
def test_each_host_is_verified_by_another_library(
    authority: Pair, leaf: Pair, host: str
) -> None:
    chain = verified(leaf, authority, host)
    assert chain == [leaf.certificate, authority.certificate]


@pytest.mark.parametrize("host", ["other.local", "192.168.7.21", "coldrail.example"])
def test_another_host_is_refused(authority: Pair, leaf: Pair, host: str) -> None:
    with pytest.raises(verification.VerificationError):
        verified(leaf, authority, host)


@pytest.mark.parametrize("days", [-2, 397])
def test_a_certificate_is_refused_before_and_after_its_time(
    authority: Pair, leaf: Pair, days: int
) -> None:
    with pytest.raises(verification.VerificationError):
        verified(leaf, authority, "coldrail.local", NOW + days * DAY)
    assert verified(leaf, authority, "coldrail.local", NOW + 395 * DAY)


def test_another_authority_does_not_count(leaf: Pair) -> None:
    stranger = own.make_authority("Hollin Lane", HOSTS, NOW)
    with pytest.raises(verification.VerificationError):
        verified(leaf, stranger, "coldrail.local")


def openssl(*arguments: str | Path) -> subprocess.CompletedProcess[str]:
    program = shutil.which("openssl")
    assert program, "OpenSSL's program is part of every system that we test on"
    return subprocess.run(
        [program, *arguments], capture_output=True, text=True, check=False
    )


def verify_by_openssl(folder: Path, authority: Pair, leaf: Pair, *more: str) -> str:
    root, end = folder / "root.pem", folder / "end.pem"
    root.write_bytes(own.pem_of(authority.certificate))
    end.write_bytes(own.pem_of(leaf.certificate))
    strict = ("verify", "-x509_strict", "-purpose", "sslserver", "-CAfile", root)
    done = openssl(*strict, *more, end)
    return done.stdout + done.stderr


def test_openssl_agrees_strictly(tmp_path: Path, authority: Pair, leaf: Pair) -> None:
    name = ("-verify_hostname", "coldrail.local")
    address = ("-verify_ip", "192.168.7.20")
    assert "OK" in verify_by_openssl(tmp_path, authority, leaf, *name)
    assert "OK" in verify_by_openssl(tmp_path, authority, leaf, *address)
    wrong = ("-verify_hostname", "other.local")
    said = verify_by_openssl(tmp_path, authority, leaf, *wrong)
    assert "hostname mismatch" in said.lower()


def test_openssl_refuses_what_the_authority_may_not_name(
    tmp_path: Path, authority: Pair, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A stolen key makes no certificate for a name on the Internet."""
    monkeypatch.setattr(own, "allowed", lambda _authority, hosts: hosts)
    stolen = own.make_leaf(authority, Hosts(("bank.example",), ()), NOW)
    said = verify_by_openssl(tmp_path, authority, stolen)
    assert "permitted subtree violation" in said
    far = (ipaddress.ip_address("198.51.100.7"),)
    stolen = own.make_leaf(authority, Hosts((), far), NOW)
    assert "permitted subtree violation" in verify_by_openssl(
        tmp_path, authority, stolen
    )


def test_a_server_cannot_act_as_an_authority(
    tmp_path: Path, authority: Pair, leaf: Pair
) -> None:
    below = own.make_leaf(
        Pair(with_constraints_of(authority, leaf), leaf.key), HOSTS, NOW
    )
    root, middle, end = (tmp_path / name for name in ("root", "middle", "end"))
    root.write_bytes(own.pem_of(authority.certificate))
    middle.write_bytes(own.pem_of(leaf.certificate))
    end.write_bytes(own.pem_of(below.certificate))
    done = openssl("verify", "-CAfile", root, "-untrusted", middle, end)
    assert done.returncode != 0


def with_constraints_of(authority: Pair, leaf: Pair) -> x509.Certificate:
    """An authority's certificate for the leaf's key and name, to sign in its name."""
    return (
        x509.CertificateBuilder()
        .subject_name(leaf.certificate.subject)
        .issuer_name(authority.certificate.subject)
        .public_key(leaf.key.public_key())
        .serial_number(1)
        .not_valid_before(NOW)
        .not_valid_after(NOW + 365 * DAY)
        .add_extension(
            authority.certificate.extensions.get_extension_for_class(
                x509.NameConstraints
            ).value,
            critical=True,
        )
        .add_extension(
            x509.SubjectKeyIdentifier.from_public_key(leaf.key.public_key()),
            critical=False,
        )
        .sign(leaf.key, hashes.SHA256())
    )


def handshake(
    folder: Path, authority: Pair, leaf: Pair, host: str
) -> dict[str, object] | ssl.SSLCertVerificationError:
    """A TLS handshake in which the client trusts our authority alone."""
    end = folder / "server.pem"
    end.write_bytes(pem_of(leaf))
    server = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    server.load_cert_chain(end)
    root = own.pem_of(authority.certificate).decode()
    client = ssl.SSLContext(ssl.PROTOCOL_TLS_CLIENT)
    client.verify_flags |= ssl.VERIFY_X509_STRICT
    client.load_verify_locations(cadata=root)
    ours, theirs = socket.socketpair()

    def serve() -> None:
        try:
            server.wrap_socket(ours, server_side=True).close()
        except (ssl.SSLError, OSError):
            ours.close()

    thread = threading.Thread(target=serve)
    thread.start()
    try:
        with client.wrap_socket(theirs, server_hostname=host) as tls:
            return dict(tls.getpeercert() or {})
    except ssl.SSLCertVerificationError as refused:
        return refused
    finally:
        theirs.close()
        thread.join()


def test_a_handshake_trusts_our_authority_alone(
    tmp_path: Path, authority: Pair, leaf: Pair
) -> None:
    seen = handshake(tmp_path, authority, leaf, "coldrail.local")
    assert isinstance(seen, dict)
    assert ("DNS", "coldrail.local") in seen["subjectAltName"]  # type: ignore[operator]
    by_address = handshake(tmp_path, authority, leaf, "192.168.7.20")
    assert isinstance(by_address, dict)
    other = handshake(tmp_path, authority, leaf, "other.local")
    assert isinstance(other, ssl.SSLCertVerificationError)


def test_a_handshake_with_an_ended_certificate_fails(
    tmp_path: Path, authority: Pair
) -> None:
    old = own.make_authority("Hollin Lane", HOSTS, NOW - 500 * DAY)
    ended = own.make_leaf(old, HOSTS, NOW - 398 * DAY)
    refused = handshake(tmp_path, old, ended, "coldrail.local")
    assert isinstance(refused, ssl.SSLCertVerificationError)
    assert "expired" in str(refused)


def test_what_browsers_ask_of_a_certificate(authority: Pair, leaf: Pair) -> None:
    """Apple, HT211025 and HT210176 [memory]: 398 days, serverAuth, SAN, SHA-2."""
    end = leaf.certificate
    life = end.not_valid_after_utc - end.not_valid_before_utc
    assert life == 397 * DAY
    usage = end.extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    assert x509.ObjectIdentifier("1.3.6.1.5.5.7.3.1") in usage
    root = authority.certificate
    limits = root.extensions.get_extension_for_class(x509.BasicConstraints)
    assert limits.critical
    assert limits.value.path_length == 0
    assert root.extensions.get_extension_for_class(x509.NameConstraints).critical
    years = (root.not_valid_after_utc - root.not_valid_before_utc).days / 365
    assert years == 10


def test_a_certificate_never_outlives_its_authority(authority: Pair) -> None:
    late = NOW + 3500 * DAY
    end = own.make_leaf(authority, HOSTS, late).certificate
    assert end.not_valid_after_utc == authority.certificate.not_valid_after_utc


def test_what_the_authority_may_not_name_is_left_out(authority: Pair) -> None:
    wider = Hosts(
        ("coldrail.local", "shop.example"),
        (ipaddress.ip_address("10.1.2.3"), ipaddress.ip_address("203.0.113.9")),
    )
    end = own.make_leaf(authority, wider, NOW).certificate
    assert own.hosts_of(end).words() == ["coldrail.local", "10.1.2.3"]
    with pytest.raises(NothingAllowed):
        own.make_leaf(authority, Hosts(("shop.example",), ()), NOW)


def test_when_a_certificate_is_due(authority: Pair, leaf: Pair) -> None:
    def why(hosts: Hosts = HOSTS, days: int = 0) -> Due | None:
        root, end = authority.certificate, leaf.certificate
        return own.why_due(end, root, hosts, NOW + days * DAY)

    assert why() is None
    assert why(days=365) is None
    assert why(days=366) is Due.ENDS_SOON
    assert why(days=396) is Due.ENDED
    assert why(days=-2) is Due.NOT_YET
    assert why(Hosts(("bench.local",), HOSTS.addresses)) is Due.OTHER_HOSTS
    stranger = own.make_authority("Hollin Lane", HOSTS, NOW).certificate
    assert own.why_due(leaf.certificate, stranger, HOSTS, NOW) is Due.OTHER_AUTHORITY


def test_the_fingerprint_is_what_openssl_prints(
    tmp_path: Path, authority: Pair
) -> None:
    root = tmp_path / "root.pem"
    root.write_bytes(own.pem_of(authority.certificate))
    done = openssl("x509", "-in", root, "-noout", "-fingerprint", "-sha256")
    printed = done.stdout.strip().partition("=")[2].replace(":", " ")
    assert own.fingerprint(authority.certificate) == printed
