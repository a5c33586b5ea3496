"""What has been kept long enough, and its erasing: every night, or by command.

What is listed is what is erased: both ask the same functions. Photos are the photos'
own room's work (``shop/photos/sweeping.py``).
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import islice
from typing import Any

from django.db import connection, transaction
from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils import timezone

from shop.intake.models import Customer, Ticket
from shop.opening.models import ImportRow, ImportRun
from shop.people.models import Shop
from shop.records import jobs
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event, OutgoingMessage
from shop.rights import again, outgoing
from shop.rights.at_rest import at_rest
from shop.rights.erasing import customer_erase, messages_end, tickets_erase
from shop.rights.paper_rows import papers_due, papers_empty
from shop.rights.periods import days_of
from shop.rights.whom import obstacle, whom
from shop.searching import trigrams

AT_ONCE = 100
LATELY = timedelta(days=2)
Found = Sequence[Any]
Find = Callable[[Shop, datetime], Iterable[Any]]


@dataclass(frozen=True)
class Due:
    """What of one class is due: the rows, and what the list says of each."""

    what: str
    rows: Found

    def said(self) -> list[str]:
        return [SAID[self.what](row) for row in self.rows]


def due(
    shop: Shop, now: datetime | None = None, *, most: int | None = None
) -> list[Due]:
    """Of each class what is due; what an open ticket or a debt holds is not.

    With ``most`` no more of a class is looked for.
    """
    now = now or timezone.now()
    return [Due(what, _some(_found(shop, what, now), most)) for what in FIND]


def _some(found: Iterable[Any], most: int | None) -> Found:
    """The first of them; of a query no more is read."""
    if isinstance(found, QuerySet):
        return list(found[:most])
    return list(islice(found, most))


def _found(shop: Shop, what: str, now: datetime) -> Iterable[Any]:
    return FIND[what](shop, now - timedelta(days=days_of(shop)[what]))


def job() -> None:
    again.erase_again()
    for shop in Shop.objects.all():
        erase_due(shop)
    finish()


def finish() -> int:
    """What an erasing left to do; how many files of messages are still there.

    Before SQLite 3.42 the search's index keeps erased words until it is merged.
    """
    again.note_erased()
    lately = timezone.now() - LATELY
    told = (Kind.CUSTOMER_ERASED, Kind.PERSONAL_ERASED)
    if Event.objects.filter(kind__in=told, recorded_at__gt=lately).exists():
        trigrams.forget(connection)
    return outgoing.sweep()


def erase_due(shop: Shop, now: datetime | None = None) -> dict[str, int]:
    """Erase what is due; how many of each class. Safe to kill and do again.

    Class after class: of an erased customer no ticket is due any more.
    """
    now = now or timezone.now()
    return {
        what: _erase(shop, Due(what, list(_found(shop, what, now))), now)
        for what in FIND
    }


def _erase(shop: Shop, one: Due, now: datetime) -> int:
    count = 0
    for at in range(0, len(one.rows), AT_ONCE):
        if not jobs.may_go_on():
            break
        count += ERASE[one.what](shop, one.rows[at : at + AT_ONCE], now)
    return count


def _customers(shop: Shop, before: datetime) -> Iterator[Customer]:
    """Whose last ticket, and whose row itself, is that old."""
    lately = Ticket.objects.filter(
        Q(opened_at__gte=before) | Q(handover__at__gte=before), customer=OuterRef("pk")
    )
    standing = Customer.objects.filter(
        ~Exists(lately), shop=shop, joined_to=None, erased_at=None, since__lt=before
    ).order_by("pk")
    last = 0
    while some := list(standing.filter(pk__gt=last)[:AT_ONCE]):
        free = at_rest(some)
        yield from (row for row in some if row.pk in free or _is_free(row, before))
        last = some[-1].pk


def _is_free(row: Customer, before: datetime) -> bool:
    about = whom(row)
    is_old = all(one.since < before for one in about.rows)
    return is_old and not obstacle(about)


def _tickets(shop: Shop, before: datetime) -> Iterable[Ticket]:
    rows = Ticket.objects.filter(
        shop=shop, erased_at=None, customer__erased_at=None, handover__at__lt=before
    )
    return rows.order_by("pk")


def _messages(shop: Shop, before: datetime) -> Iterable[OutgoingMessage]:
    ended = Q(sent_at__lt=before) | Q(given_up_at__lt=before)
    rows = OutgoingMessage.objects.filter(ended, shop_id=shop.pk)
    return rows.exclude(to="", text="").order_by("pk")


def _imports(shop: Shop, before: datetime) -> Iterable[ImportRun]:
    old = ImportRun.objects.filter(shop=shop, uploaded_at__lt=before)
    is_said = Q(lines__in=ImportRow.objects.exclude(values={}, problem="", key=""))
    rows = old.filter(~Q(body=b"") | is_said).distinct()
    return rows.defer("body").order_by("pk")


def _papers(shop: Shop, before: datetime) -> Iterable[Any]:
    """Since the end of their year, in the shop's time."""
    year = before.astimezone(shop.zone).year
    return papers_due(shop, datetime(year, 1, 1, tzinfo=shop.zone).astimezone(UTC))


def _customers_erase(shop: Shop, rows: Found, now: datetime) -> int:
    count = 0
    for row in rows:
        try:
            customer_erase(customer=row, by=None, because="kept_long_enough")
        except Refused:  # back at the counter since it was listed
            continue
        count += 1
    return count


def _tickets_erase(shop: Shop, rows: Found, now: datetime) -> int:
    return tickets_erase(tickets=rows, now=now)


@transaction.atomic
def _messages_erase(shop: Shop, rows: Found, now: datetime) -> int:
    count = messages_end(Q(pk__in=[row.pk for row in rows]), now)
    _tell(shop, "messages", count, now)
    return count


@transaction.atomic
def _imports_erase(shop: Shop, rows: Found, now: datetime) -> int:
    ids = [row.pk for row in rows]
    empty = {"values": {}, "problem": "", "key": "", "key_2": ""}
    ImportRow.objects.filter(run__in=ids).update(**empty)
    ImportRun.objects.filter(pk__in=ids).update(body=b"")
    _tell(shop, "imports", len(ids), now)
    return len(ids)


@transaction.atomic
def _papers_erase(shop: Shop, rows: Found, now: datetime) -> int:
    count = papers_empty(rows)
    _tell(shop, "papers", count, now)
    return count


def _tell(shop: Shop, what: str, count: int, now: datetime) -> None:
    records.event_record(
        Kind.PERSONAL_ERASED,
        shop_id=shop.pk,
        by_id=None,
        at=now,
        codes={"what": what},
        amounts={"rows": count},
    )


FIND: Mapping[str, Find] = {
    "customers": _customers,
    "tickets": _tickets,
    "messages": _messages,
    "imports": _imports,
    "papers": _papers,
}
ERASE: Mapping[str, Callable[[Shop, Found, datetime], int]] = {
    "customers": _customers_erase,
    "tickets": _tickets_erase,
    "messages": _messages_erase,
    "imports": _imports_erase,
    "papers": _papers_erase,
}
SAID: Mapping[str, Callable[[Any], str]] = {
    "customers": lambda row: f"{row.pk}",
    "tickets": lambda row: row.number,
    "messages": lambda row: f"{row.pk}",
    "imports": lambda row: f"{row.pk}",
    "papers": lambda row: f"{row._meta.verbose_name} {row}",
}
