"""Links by which a phone adds photos to one ticket, without a sign-in.

The token is told once, in the QR, and kept as a hash. It opens nothing but the page
that takes photos: no name, no phone, no photo comes back by it.
"""

import hashlib
import secrets
from datetime import datetime, timedelta

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.intake.models import Ticket
from shop.intake.services.rows import still_open
from shop.people.models import Person
from shop.photos import limits
from shop.photos.models import Link
from shop.records.counting import count_of, counted
from shop.records.errors import Refused
from shop.records.restored import Restored

TOKEN_BYTES = 24
SALT = "coldrail.photos.link"


def hash_of(token: str) -> str:
    """Bound to this purpose: a token of another kind of link has another hash."""
    return hashlib.sha256(f"{SALT}\0{token}".encode()).hexdigest()


@transaction.atomic
def link_make(*, ticket: Ticket, by: Person) -> tuple[Link, str]:
    """A new link and its token. The person's older ones of this ticket end."""
    still_open(ticket)
    now = timezone.now()
    end_all(ticket, now, by=by)
    token = secrets.token_urlsafe(TOKEN_BYTES)
    until = now + timedelta(minutes=limits.LINK_MINUTES)
    link = Link.objects.create(
        ticket=ticket,
        token_hash=hash_of(token),
        made_by=by,
        made_at=now,
        until=until,
    )
    return link, token


def end_all(ticket: Ticket, now: datetime, *, by: Person | None = None) -> int:
    """No phone adds to this ticket any more (by the links that ``by`` made)."""
    links = Link.objects.filter(ticket=ticket, ended_at=None, until__gt=now)
    if by is not None:
        links = links.filter(made_by=by)
    return links.update(ended_at=now)


def after_restore(_about: Restored) -> int:
    """Links of before the backup open nothing any more."""
    return Link.objects.filter(ended_at=None).update(ended_at=timezone.now())


def link_of(token: str, now: datetime) -> Link | None:
    """The open link of that token, on an open ticket; else None, whatever is wrong."""
    links = Link.objects.filter(token_hash=hash_of(token), ended_at=None, until__gt=now)
    open_ones = links.filter(ticket__handover=None, made_by__is_active=True)
    return open_ones.select_related("ticket__shop", "made_by").first()


def open_link(ticket: Ticket, now: datetime) -> Link | None:
    """The newest link of a ticket that a phone could use now."""
    return Link.objects.filter(ticket=ticket, ended_at=None, until__gt=now).last()


def photo_may_come(link: Link) -> None:
    """Refused when this link has brought enough, in all or within a minute."""
    if link.photos.count() >= limits.MOST_BY_LINK:
        raise Refused(_("This link has brought all it may. Ask for a new one."))
    if counted(f"photos.link.{link.pk}") > limits.MOST_A_MINUTE:
        raise Refused(_("Too many at once: wait a minute."))


def guesses(address: str) -> bool:
    """Whether this address has tried too many wrong links to be looked up at all."""
    return count_of(f"photos.wrong.{address}") >= limits.MOST_WRONG


def guessed(address: str) -> None:
    counted(f"photos.wrong.{address}")
