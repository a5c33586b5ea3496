"""Erasing a customer, or what was personal of tickets closed long ago.

By the rooms' lists alone (``tables``): what they call a customer's is emptied, papers
of account stay, the bench's knowledge knows nobody. One transaction; files go after it.
"""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.db.models import Q
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from diagnostics.models import Board, Origin, TicketBoard
from shop.intake.models import Channel, Customer, Device, Ticket
from shop.people.models import Person
from shop.photos import services as photos
from shop.photos.models import Photo
from shop.records import services as records
from shop.records.cache import cache
from shop.records.holding import Holds, Table
from shop.records.kinds import Kind
from shop.records.models import Event, OutgoingMessage
from shop.rights import outgoing, searched
from shop.rights.tables import ModelClass, Rows, empty, of_customers, rows_of
from shop.rights.whom import Whom, refuse_obstacle, whom
from shop.searching import services as searching


@transaction.atomic
def customer_erase(
    *, customer: Customer, by: Person | None, because: str = "asked"
) -> Event:
    """Nobody is named any more; refused while a ticket is open or money is owing."""
    about = _locked(customer)
    refuse_obstacle(about)
    now = timezone.now()
    ids, tickets = about.customer_ids, about.ticket_ids
    pictures = list(Photo.objects.filter(ticket__in=tickets, erased_at=None))
    count = photos.erased(pictures, now)
    searched.erase(about.customer.shop, about.rows, ids)
    rows = _empty_all(customers=ids, tickets=tickets, now=now)
    _name_anew(about)
    searching.texts_renew(tickets)
    transaction.on_commit(cache.clear)
    return records.event_record(
        Kind.CUSTOMER_ERASED,
        shop_id=about.customer.shop_id,
        by_id=by.pk if by else None,
        at=now,
        ids={"customer": about.customer.pk},
        codes={"because": because},
        amounts={"tickets": len(tickets), "rows": rows, "photos": count},
    )


def _locked(customer: Customer) -> Whom:
    ids = whom(customer).customer_ids
    list(Customer.objects.select_for_update().filter(pk__in=ids).order_by("pk"))
    return whom(customer)


@transaction.atomic
def tickets_erase(*, tickets: Sequence[Ticket], now: datetime) -> int:
    """Of closed tickets what was personal; the customer stays. How many were done."""
    ids = [ticket.pk for ticket in tickets]
    _empty_all(tickets=ids, now=now)
    searched.answers_empty()
    searching.texts_renew(ids)
    transaction.on_commit(cache.clear)
    for ticket in tickets:
        records.event_record(
            Kind.PERSONAL_ERASED,
            shop_id=ticket.shop_id,
            ticket_id=ticket.pk,
            by_id=None,
            at=now,
            codes={"what": "tickets"},
        )
    return len(ids)


def _empty_all(
    *, customers: Sequence[int] = (), tickets: Sequence[int] = (), now: datetime
) -> int:
    """Every table of the lists; how many rows there were."""
    messages_end(Q(ticket_id__in=tickets) | Q(customer_id__in=customers), now)
    count = 0
    for model, table in of_customers():
        rows = rows_of(model, table, customers=customers, tickets=tickets)
        count += _empty_rows(model, table, _of_them_alone(model, rows, tickets), now)
    return count


def _of_them_alone(model: ModelClass, rows: Rows, tickets: Sequence[int]) -> Rows:
    """A board that is the shop's, or was brought by others too, keeps its numbers."""
    if model is not Board:
        return rows
    others = TicketBoard.objects.exclude(ticket__in=tickets)
    mine = rows.filter(origin=Origin.CUSTOMER)
    return mine.exclude(pk__in=others.values("board"))


def _empty_rows(model: ModelClass, table: Table, rows: Rows, now: datetime) -> int:
    if table.goes:
        return int(rows.delete()[0])
    if table.paper_if:
        rows = rows.exclude(**table.paper_if)
    ids = list(rows.values_list("pk", flat=True))
    columns = table.named(Holds.CUSTOMER)
    rows = model._default_manager.filter(pk__in=ids)
    if table.stamp:
        rows.filter(**{table.stamp: None}).update(**{table.stamp: now})
    if not columns:
        return 0
    return int(rows.update(**{name: empty(model, name) for name in columns}))


def messages_end(which: Q, now: datetime) -> int:
    """What waits goes to nobody; what lies in a file goes after the transaction."""
    rows = OutgoingMessage.objects.filter(which)
    ids = list(rows.values_list("message_id", flat=True))
    rows.filter(sent_at=None, given_up_at=None).update(given_up_at=now, withheld="over")
    emptied = dict.fromkeys(("to", "subject", "text", "reply_to"), "")
    transaction.on_commit(lambda: outgoing.files_away(ids))
    return int(rows.update(**emptied))


def _name_anew(about: Whom) -> None:
    """What pages call an erased customer and their machines."""
    with translation.override(about.customer.shop.language_codes[0]):
        for row in about.rows:
            Customer.objects.filter(pk=row.pk).update(
                name=_("Erased customer %(n)d") % {"n": row.pk},
                channel=Channel.NONE,
                version=row.version + 1,
            )
        for device in Device.objects.filter(customer__in=about.customer_ids):
            kind = str(device.get_kind_display())
            Device.objects.filter(pk=device.pk).update(model=kind)
