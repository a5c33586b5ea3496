"""The shop's own certificate authority, and the server's certificate. PURE.

X.509 as RFC 5280 has it: the authority may sign servers only (path length 0)
and only for names and addresses of the shop's own network (name constraints,
4.2.1.10), so that a stolen key cannot speak for the rest of the world. The
server's certificate lives at most 398 days, which is what browsers allow for
certificates in general (CA/Browser Forum, Baseline Requirements 6.3.2).
"""

import datetime as dt
import enum
import ipaddress
from collections.abc import Iterable
from dataclasses import dataclass

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

Address = ipaddress.IPv4Address | ipaddress.IPv6Address
Network = ipaddress.IPv4Network | ipaddress.IPv6Network

AUTHORITY_DAYS = 3650
LEAF_DAYS = 397
RENEW_DAYS = 30
# A tablet whose clock is a little behind takes a new certificate too.
EARLIER = dt.timedelta(days=1)
# RFC 1918, 3927, 4193 and 4291: addresses that mean something at home only.
PRIVATE = tuple(
    ipaddress.ip_network(text)
    for text in (
        "10.0.0.0/8 172.16.0.0/12 192.168.0.0/16 169.254.0.0/16 127.0.0.0/8 "
        "fc00::/7 fe80::/10 ::1/128"
    ).split()
)
# RFC 6762 (multicast DNS) and RFC 6761: never somebody's on the Internet.
LOCAL_NAMES = ("local", "localhost")


@dataclass(frozen=True)
class Pair:
    """A certificate and its key."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey


@dataclass(frozen=True)
class Hosts:
    """The names and addresses under which a server is reached."""

    names: tuple[str, ...]
    addresses: tuple[Address, ...]

    def words(self) -> list[str]:
        return [*self.names, *(str(address) for address in self.addresses)]


class Due(enum.StrEnum):
    """Why a server's certificate has to be made anew."""

    LOST = "lost or never made"
    ENDED = "ended"
    ENDS_SOON = "ends soon"
    OTHER_HOSTS = "other names or addresses"
    OTHER_AUTHORITY = "signed by another authority"
    NOT_YET = "not valid yet"


class NothingAllowed(ValueError):
    """No name or address of the server is one that the authority may vouch for."""


def make_authority(shop: str, hosts: Hosts, now: dt.datetime) -> Pair:
    """A new authority, for the shop's network and the hosts as they are today."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name(
        [
            x509.NameAttribute(NameOID.ORGANIZATION_NAME, shop[:64]),
            x509.NameAttribute(
                NameOID.COMMON_NAME, f"Coldrail authority {now:%Y-%m-%d}"
            ),
        ]
    )
    until = now - EARLIER + dt.timedelta(days=AUTHORITY_DAYS)
    builder = (
        _begun(name, name, key, now, until)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs=True), critical=True)
        .add_extension(x509.NameConstraints(_permitted(hosts), None), critical=True)
    )
    return Pair(builder.sign(key, hashes.SHA256()), key)


def make_leaf(authority: Pair, hosts: Hosts, now: dt.datetime) -> Pair:
    """The server's certificate for those hosts that the authority may vouch for.

    Raises ``NothingAllowed`` when there is none.
    """
    issuer = authority.certificate
    vouched = allowed(issuer, hosts)
    if not vouched.words():
        raise NothingAllowed
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Coldrail server")])
    until = min(
        now - EARLIER + dt.timedelta(days=LEAF_DAYS), issuer.not_valid_after_utc
    )
    signer = issuer.extensions.get_extension_for_class(x509.SubjectKeyIdentifier).value
    identifier = x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(signer)
    for_servers = x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH])
    names = x509.SubjectAlternativeName(_general(vouched))
    builder = (
        _begun(name, issuer.subject, key, now, until)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs=False), critical=True)
        .add_extension(for_servers, critical=False)
        .add_extension(names, critical=False)
        .add_extension(identifier, critical=False)
    )
    return Pair(builder.sign(authority.key, hashes.SHA256()), key)


def _begun(
    subject: x509.Name,
    issuer: x509.Name,
    key: ec.EllipticCurvePrivateKey,
    now: dt.datetime,
    until: dt.datetime,
) -> x509.CertificateBuilder:
    identifier = x509.SubjectKeyIdentifier.from_public_key(key.public_key())
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - EARLIER)
        .not_valid_after(until)
        .add_extension(identifier, critical=False)
    )


def _usage(*, signs: bool) -> x509.KeyUsage:
    """An authority signs certificates; a server signs its handshake."""
    return x509.KeyUsage(
        digital_signature=not signs,
        key_cert_sign=signs,
        crl_sign=signs,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _permitted(hosts: Hosts) -> list[x509.GeneralName]:
    own = [n for n in hosts.names if not _is_under(n, LOCAL_NAMES)]
    networks: list[Network] = [*PRIVATE]
    networks += [
        ipaddress.ip_network(address)
        for address in hosts.addresses
        if not _is_within(address, PRIVATE)
    ]
    return [
        *(x509.DNSName(name) for name in (*LOCAL_NAMES, *own)),
        *(x509.IPAddress(network) for network in networks),
    ]


def _general(hosts: Hosts) -> list[x509.GeneralName]:
    return [
        *(x509.DNSName(name) for name in hosts.names),
        *(x509.IPAddress(address) for address in hosts.addresses),
    ]


def _is_under(name: str, tops: Iterable[str]) -> bool:
    return any(name == top or name.endswith(f".{top}") for top in tops)


def _is_within(address: Address, networks: Iterable[Network]) -> bool:
    return any(address in network for network in networks)


def allowed(authority: x509.Certificate, hosts: Hosts) -> Hosts:
    """The hosts that this authority may vouch for, in their order."""
    held = authority.extensions.get_extension_for_class(x509.NameConstraints).value
    permitted = held.permitted_subtrees or []
    tops = [one.value for one in permitted if isinstance(one, x509.DNSName)]
    networks = [one.value for one in permitted if isinstance(one, x509.IPAddress)]
    within = [n for n in networks if isinstance(n, Network)]
    return Hosts(
        names=tuple(n for n in hosts.names if _is_under(n, tops)),
        addresses=tuple(a for a in hosts.addresses if _is_within(a, within)),
    )


def hosts_of(leaf: x509.Certificate) -> Hosts:
    """The names and addresses that a server's certificate holds."""
    held = leaf.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    addresses = [
        one
        for one in held.get_values_for_type(x509.IPAddress)
        if isinstance(one, Address)
    ]
    return Hosts(tuple(held.get_values_for_type(x509.DNSName)), tuple(addresses))


def is_for(leaf: x509.Certificate, host: str) -> bool:
    """Whether a browser that was asked for this host finds it there."""
    return host.strip("[]").lower() in hosts_of(leaf).words()


def why_due(
    leaf: x509.Certificate,
    authority: x509.Certificate,
    hosts: Hosts,
    now: dt.datetime,
) -> Due | None:
    """Why the server's certificate must be made anew; ``None`` while it is right."""
    try:
        leaf.verify_directly_issued_by(authority)
    except Exception:  # noqa: BLE001  whatever is wrong, it is not ours
        return Due.OTHER_AUTHORITY
    if now >= leaf.not_valid_after_utc:
        return Due.ENDED
    if now < leaf.not_valid_before_utc:
        return Due.NOT_YET
    if now >= leaf.not_valid_after_utc - dt.timedelta(days=RENEW_DAYS):
        return Due.ENDS_SOON
    wanted = allowed(authority, hosts)
    if set(hosts_of(leaf).words()) != set(wanted.words()):
        return Due.OTHER_HOSTS
    return None


def days_left(certificate: x509.Certificate, now: dt.datetime) -> int:
    """Whole days until it ends; negative once it has."""
    return (certificate.not_valid_after_utc - now).days


def fingerprint(certificate: x509.Certificate) -> str:
    """SHA-256 in pairs of hexadecimal digits, as devices show it."""
    digest = certificate.fingerprint(hashes.SHA256()).hex().upper()
    return " ".join(digest[at : at + 2] for at in range(0, len(digest), 2))


def pem_of(certificate: x509.Certificate) -> bytes:
    return certificate.public_bytes(serialization.Encoding.PEM)


def der_of(certificate: x509.Certificate) -> bytes:
    return certificate.public_bytes(serialization.Encoding.DER)


def pem_of_key(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )
