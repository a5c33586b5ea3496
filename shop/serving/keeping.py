"""Where the authority and the server's certificate are kept, and kept fresh."""

import datetime as dt
from dataclasses import dataclass
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import serialization
from cryptography.hazmat.primitives.asymmetric import ec

from shop.records import own_files
from shop.serving import certificates
from shop.serving.certificates import Due, Hosts, Pair


class AuthorityLost(Exception):
    """The authority's key is missing or no use: only a person may make a new one."""


@dataclass(frozen=True)
class Place:
    """The files of one installation: a key and its certificate lie in one file."""

    folder: Path

    @property
    def authority(self) -> Path:
        return self.folder / "authority.pem"

    @property
    def shown(self) -> Path:
        """The authority's certificate alone: what tablets are given."""
        return self.folder / "authority.crt"

    @property
    def leaf(self) -> Path:
        return self.folder / "server.pem"


@dataclass(frozen=True)
class Kept:
    """What is in force, and what was made just now."""

    authority: x509.Certificate
    leaf: x509.Certificate
    is_new_authority: bool
    renewed: Due | None
    left_out: tuple[str, ...]


def authority_in(folder: Path) -> x509.Certificate | None:
    return _certificate(Place(folder).shown)


def leaf_in(folder: Path) -> x509.Certificate | None:
    return _certificate(Place(folder).leaf)


def has_lost_authority(folder: Path) -> bool:
    """Whether there was an authority once, and its key is gone or no use."""
    place = Place(folder)
    was_there = place.authority.exists() or place.shown.exists()
    return was_there and _pair(place.authority) is None


def keep(
    folder: Path,
    hosts: Hosts,
    now: dt.datetime,
    *,
    shop: str,
    new_authority: bool = False,
) -> Kept:
    """Certificates that are right for these hosts today, made where they are not.

    Raises ``AuthorityLost`` rather than making a second authority unasked: every
    tablet would have to trust it anew. A lost server's key is just made again.
    """
    place = Place(folder)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    authority = None if new_authority else _authority(place)
    is_new = authority is None
    if authority is None:
        authority = certificates.make_authority(shop, hosts, now)
        own_files.put(place.authority, pem_of(authority))
    if _certificate(place.shown) != authority.certificate:
        own_files.put(place.shown, certificates.pem_of(authority.certificate))
    leaf, why = _leaf(place, authority, hosts, now)
    may_name = set(certificates.allowed(authority.certificate, hosts).words())
    left_out = tuple(word for word in hosts.words() if word not in may_name)
    return Kept(authority.certificate, leaf, is_new, why, left_out)


def _authority(place: Place) -> Pair | None:
    """The authority; ``None`` where there never was one."""
    if has_lost_authority(place.folder):
        raise AuthorityLost
    return _pair(place.authority)


def _leaf(
    place: Place, authority: Pair, hosts: Hosts, now: dt.datetime
) -> tuple[x509.Certificate, Due | None]:
    """The server's certificate, and why it was made now (``None``: it was right)."""
    found, why = _pair(place.leaf), Due.LOST
    if found is not None:
        due = certificates.why_due(found.certificate, authority.certificate, hosts, now)
        if due is None:
            return found.certificate, None
        why = due
    made = certificates.make_leaf(authority, hosts, now)
    own_files.put(place.leaf, pem_of(made))
    return made.certificate, why


def pem_of(pair: Pair) -> bytes:
    key = certificates.pem_of_key(pair.key)
    return key + certificates.pem_of(pair.certificate)


def _pair(path: Path) -> Pair | None:
    """A key and the certificate that is of it."""
    certificate = _certificate(path)
    try:
        key = serialization.load_pem_private_key(path.read_bytes(), password=None)
    except (OSError, ValueError, TypeError):
        return None
    if certificate is None or not isinstance(key, ec.EllipticCurvePrivateKey):
        return None
    is_of_it = certificate.public_key() == key.public_key()
    return Pair(certificate, key) if is_of_it else None


def _certificate(path: Path) -> x509.Certificate | None:
    try:
        return x509.load_pem_x509_certificate(path.read_bytes())
    except (OSError, ValueError):
        return None
