"""One person who was kept twice: found by name and phone, joined, and parted again.

The row that is joined to another stays, so that the joining can be undone: no search
and no offer shows it meanwhile.
"""

from collections.abc import Sequence
from difflib import SequenceMatcher
from itertools import combinations

from django.db import transaction
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.intake.models import Customer, Device, Ticket
from shop.intake.services.rows import LONGEST_TEXT
from shop.people.models import Person
from shop.records import services as records
from shop.records.errors import Refused, StaleEdit
from shop.records.kinds import Kind
from shop.records.models import Event

# Of two names with nothing else in common: less is another person as a rule (jd).
NEAR_NAME = 0.85
FILLED = ("phone_typed", "phone_e164", "email", "address", "tax_id", "country")
MOST_NEAR = 5
SHORTEST_WORD = 3


def is_near(one: Customer, other: Customer) -> bool:
    """Whether two rows may be one person: the same phone, or nearly the same name."""
    if one.phone_e164 and one.phone_e164 == other.phone_e164:
        return True
    return alike(one.name, other.name) >= NEAR_NAME


def alike(one: str, other: str) -> float:
    """How alike two names are, 0 to 1; the order of their words does not matter."""
    first, second = (" ".join(sorted(n.casefold().split())) for n in (one, other))
    return SequenceMatcher(None, first, second, autojunk=False).ratio()


def near_of(customer: Customer) -> list[Customer]:
    """Who else may be this customer; of one that was erased nobody knows."""
    if customer.erased_at is not None:
        return []
    asked = Q(pk__in=[])
    if customer.phone_e164:
        asked |= Q(phone_e164=customer.phone_e164)
    for word in customer.name.split():
        if len(word) >= SHORTEST_WORD:
            asked |= Q(name__icontains=word)
    rows = Customer.objects.filter(
        asked, shop=customer.shop, joined_to=None, erased_at=None
    )
    near = [row for row in rows.exclude(pk=customer.pk)[:200] if is_near(row, customer)]
    return near[:MOST_NEAR]


def first_pair(rows: Sequence[Customer]) -> tuple[Customer, Customer] | None:
    """The first two of some rows that may be one person."""
    pairs = combinations(rows, 2)
    return next((pair for pair in pairs if is_near(*pair)), None)


@transaction.atomic
def customers_join(
    *, kept: Customer, gone: Customer, by: Person, versions: tuple[int, int]
) -> Event:
    """Move devices and tickets of ``gone`` to ``kept``; what ``kept`` lacks is filled.

    ``versions`` are those that the person saw, of ``kept`` and ``gone``.
    """
    kept, gone = _both(kept, gone)
    if gone.is_account and not kept.is_account:
        raise Refused(_("Keep the row that has the account: it would be lost."))
    if (kept.version, gone.version) != versions:
        raise StaleEdit(mine={}, theirs={})
    tickets = list(gone.tickets.values_list("pk", flat=True))
    devices = list(gone.devices.values_list("pk", flat=True))
    Ticket.objects.filter(pk__in=tickets).update(customer=kept)
    Device.objects.filter(pk__in=devices).update(customer=kept)
    filled = [
        name for name in FILLED if getattr(gone, name) and not getattr(kept, name)
    ]
    for name in filled:
        setattr(kept, name, getattr(gone, name))
    kept.version += 1
    kept.save(update_fields=[*filled, "version"])
    gone.joined_to, gone.version = kept, gone.version + 1
    gone.save(update_fields=["joined_to", "version"])
    return records.event_record(
        Kind.CUSTOMERS_JOINED,
        shop_id=kept.shop_id,
        by_id=by.pk,
        ids={
            "kept": kept.pk,
            "gone": gone.pk,
            "tickets": _listed(tickets),
            "devices": _listed(devices),
            "filled": " ".join(filled),
        },
    )


def _both(kept: Customer, gone: Customer) -> tuple[Customer, Customer]:
    """Locked in the order of their rows, so that two joinings never wait in a ring."""
    pks = {kept.pk, gone.pk}
    rows = {
        row.pk: row
        for row in Customer.objects.select_for_update()
        .filter(pk__in=pks)
        .order_by("pk")
    }
    if len(pks) != 2 or kept.shop_id != gone.shop_id:
        raise Refused(_("These are not two customers of this shop."))
    if any(row.erased_at for row in rows.values()):
        raise Refused(_("One of them was erased: nobody is named there any more."))
    if any(row.joined_to_id for row in rows.values()):
        raise Refused(_("One of them was joined to another meanwhile."))
    return rows[kept.pk], rows[gone.pk]


def _listed(pks: Sequence[int]) -> str:
    return " ".join(map(str, pks))


def joinings_of(customer: Customer) -> list[tuple[Event, Customer]]:
    """Those of this customer that still stand, newest first."""
    gone = {row.pk: row for row in customer.joined.all()}
    events = Event.objects.filter(
        shop_id=customer.shop_id, kind=Kind.CUSTOMERS_JOINED, ids__kept=customer.pk
    ).select_related("by")
    newest = {event.ids["gone"]: event for event in events.order_by("id")}
    return [(newest[pk], gone[pk]) for pk in sorted(gone, reverse=True) if pk in newest]


@transaction.atomic
def customers_part(*, gone: Customer, by: Person, reason: str, version: int) -> Event:
    """Undo a joining, with the reason: what came from ``gone`` goes back to it.

    What was taken in since stays with whom it was taken in for.
    """
    gone = Customer.objects.select_for_update().get(pk=gone.pk)
    kept = gone.joined_to
    if kept is None:
        raise Refused(_("These two are not joined."))
    if gone.erased_at is not None:
        raise Refused(_("One of them was erased: nobody is named there any more."))
    kept = Customer.objects.select_for_update().get(pk=kept.pk)
    if kept.version != version:
        raise StaleEdit(mine={}, theirs={})
    reason = reason.strip()[:LONGEST_TEXT]
    if not reason:
        raise Refused(_("Say why they are two people."), field="reason")
    joined = next(event for event, row in joinings_of(kept) if row.pk == gone.pk)
    _move_back(joined, kept, gone)
    words = records.note_keep(
        shop_id=kept.shop_id, kind="parted", text=reason, by_id=by.pk
    )
    return records.event_record(
        Kind.CUSTOMERS_PARTED,
        shop_id=kept.shop_id,
        by_id=by.pk,
        at=timezone.now(),
        ids={"kept": kept.pk, "gone": gone.pk},
        note=words,
    )


def _move_back(joined: Event, kept: Customer, gone: Customer) -> None:
    for model, name in ((Device, "devices"), (Ticket, "tickets")):
        pks = [int(pk) for pk in str(joined.ids[name]).split()]
        model.objects.filter(pk__in=pks, customer=kept).update(customer=gone)
    # A device that was brought in again since belongs to its newer ticket's customer.
    astray = Ticket.objects.filter(customer=kept, device__customer=gone)
    for ticket in astray.select_related("device"):
        Device.objects.filter(pk=ticket.device_id).update(customer=kept)
    filled = str(joined.ids["filled"]).split()
    for name in filled:
        if getattr(kept, name) == getattr(gone, name):
            setattr(kept, name, "")
    kept.version += 1
    kept.save(update_fields=[*filled, "version"])
    gone.joined_to, gone.version = None, gone.version + 1
    gone.save(update_fields=["joined_to", "version"])
