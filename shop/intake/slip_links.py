"""The address that a customer's slip and messages carry, and what opens by it.

The id is an HMAC under the house's secret key of a random part that the row keeps: a
stolen database holds neither the ids nor what makes them, and the same address can
be printed again. It is looked up by its hash, so a new secret key ends no link that
is out; the next print then carries a new one.
"""

import hashlib
import re
import secrets
from base64 import urlsafe_b64encode
from datetime import datetime, timedelta
from urllib.parse import urlsplit

from django.conf import settings
from django.db import transaction
from django.db.models import Q, QuerySet
from django.urls import reverse
from django.utils import timezone
from django.utils.crypto import salted_hmac

from shop.intake.facts import IMPORT_UNDONE
from shop.intake.models import Ticket
from shop.intake.services.rows import lock, tell
from shop.intake.slip_models import SlipLink
from shop.people.models import Person, Shop
from shop.records.kinds import Kind
from shop.records.models import Event
from shop.records.services import when

SALT = "coldrail.slip.link"
LOOPBACK = {"127.0.0.1", "localhost", "::1"}
RANDOM_BYTES = 16
ID_BYTES = 18  # 144 bits: 24 letters of an address
DAYS = timedelta(days=30)
# What a scanner types of a slip's code: the end of the printed address.
ADDRESS = re.compile(r"/slip/([\w-]{24})/?\Z", re.ASCII)
# A link that goes out anew is good for at least so long; else it is a new one.
LEAST_LEFT = timedelta(days=14)


def hash_of(link_id: str) -> str:
    """Bound to this purpose: an id of another kind of link has another hash."""
    return hashlib.sha256(f"{SALT}\0{link_id}".encode()).hexdigest()


def address_of(ticket: Ticket, *, now: datetime | None = None) -> str:
    """The ticket's address for the customer; a link is made where none will last.

    The same again for every reprint, until it has less than ``LEAST_LEFT`` to go.
    """
    now = now or timezone.now()
    link = to_print(ticket, now)
    if link is None or link.expires_at < now + LEAST_LEFT:
        return _address(_make(ticket.shop_id, ticket.pk, now))
    return printed(link)


def to_print(ticket: Ticket, now: datetime) -> SlipLink | None:
    """The newest link that opens now and whose address is known; makes none."""
    link = standing(ticket, now).last()
    return link if link and _is_ours(link) else None


def printed(link: SlipLink) -> str:
    return _address(_id_of(link))


def standing(ticket: Ticket, now: datetime) -> QuerySet[SlipLink]:
    """Every link of the ticket that opens now, the newest last."""
    return _open(now).filter(ticket=ticket)


def link_of(link_id: str, now: datetime) -> SlipLink | None:
    """The link of that id; None whatever is wrong with it, found by a small question.

    Who guesses asks often: ticket and customer are only loaded for a link that opens.
    """
    found = _open(now).filter(id_hash=hash_of(link_id)).values_list("pk", flat=True)
    key = found.first()
    if key is None:
        return None
    links = SlipLink.objects.filter(pk=key)
    return links.select_related("shop", "ticket__customer", "ticket__device").first()


def ticket_of(shop: Shop, scanned: str) -> Ticket | None:
    """The ticket of a slip's code, for the shop itself: an ended link is known too."""
    found = ADDRESS.search(scanned.strip())
    if found is None:
        return None
    links = SlipLink.objects.filter(shop=shop, id_hash=hash_of(found[1]))
    link = links.select_related("ticket").first()
    return link.ticket if link else None


@transaction.atomic
def revoke(*, ticket: Ticket, by: Person, at: datetime | None = None) -> int:
    """No address of this ticket opens any more; a new one may be made."""
    lock(ticket)
    at = at or timezone.now()
    ended = standing(ticket, at).update(revoked_at=at)
    if ended:
        tell(Kind.SLIP_LINK_REVOKED, ticket, by, at)
    return ended


@transaction.atomic
def renew(*, ticket: Ticket, by: Person, at: datetime | None = None) -> str:
    """A new address; every older one of the ticket ends."""
    lock(ticket)
    at = at or timezone.now()
    standing(ticket, at).update(revoked_at=at)
    tell(Kind.SLIP_LINK_RENEWED, ticket, by, at)
    return _address(_make(ticket.shop_id, ticket.pk, at))


def listen() -> None:
    """A ticket has its address from the start; closed, for some days more."""
    when(Kind.TICKET_OPENED, _opened)
    when(Kind.TICKET_CLOSED, _closed)


def _opened(event: Event) -> None:
    assert event.ticket_id is not None, "a ticket was opened"
    _make(event.shop_id, event.ticket_id, event.at)


def _closed(event: Event) -> None:
    """What was brought in by mistake was nobody's job: its address ends."""
    assert event.ticket_id is not None, "a ticket was closed"
    links = SlipLink.objects.filter(ticket_id=event.ticket_id, revoked_at=None)
    if event.codes.get("why") == IMPORT_UNDONE:
        links.update(revoked_at=event.at)
        return
    links.filter(expires_at__gt=event.at).update(expires_at=event.at + DAYS)


def _open(now: datetime) -> QuerySet[SlipLink]:
    is_mistake = Q(ticket__handover__is_undone=True)
    links = SlipLink.objects.filter(revoked_at=None, expires_at__gt=now)
    return links.exclude(is_mistake)


def _make(shop_id: int, ticket_id: int, now: datetime) -> str:
    """A new link of the ticket; returns its id."""
    link = SlipLink(
        shop_id=shop_id,
        ticket_id=ticket_id,
        random=secrets.token_hex(RANDOM_BYTES),
        made_at=now,
        expires_at=now + DAYS,
    )
    link_id = _id_of(link)
    link.id_hash = hash_of(link_id)
    link.save()
    return link_id


def _id_of(link: SlipLink) -> str:
    digest = salted_hmac(SALT, link.random, algorithm="sha256").digest()
    return urlsafe_b64encode(digest[:ID_BYTES]).decode()


def _is_ours(link: SlipLink) -> bool:
    """Whether the secret key of today still makes the id that is out."""
    return hash_of(_id_of(link)) == link.id_hash


def _address(link_id: str) -> str:
    return f"{house_address()}{reverse('desk:slip', args=[link_id])}"


def reaches_phones() -> bool:
    """Whether the house's address is more than this machine's own; so in the demo."""
    return settings.IS_DEMO or urlsplit(house_address()).hostname not in LOOPBACK


def house_address() -> str:
    """Where customers find the house: its setting, never what a request says."""
    if settings.SHOP_ADDRESS:
        return str(settings.SHOP_ADDRESS).rstrip("/")
    return f"https://{next(iter(settings.ALLOWED_HOSTS), 'localhost')}"
