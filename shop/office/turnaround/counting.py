"""What tickets amount to, made from their events and kept in ``TicketDays``.

Events are gone through once, in the order in which they were written. A step may be
killed, or done twice or by two at once: a row is made from all events that there are,
and the last thousand are looked at again, since of two acts at once the earlier number
may be written later.
"""

from collections.abc import Callable, Collection
from typing import NamedTuple

from django.db import transaction
from django.db.models import Max, QuerySet
from django.utils import timezone

from shop.intake.models import Ticket
from shop.office.models import CountedUpTo, TicketDays
from shop.office.turnaround.folding import COLUMNS, folded
from shop.people.models import Shop
from shop.records import jobs
from shop.records.by_key import by_key
from shop.records.kinds import Kind
from shop.records.models import Event

AT_ONCE = 2000  # events of a step
AGAIN = 1000
BEFORE_A_PAGE = 100  # tickets that a page waits for
LOOKED_AT = 10_000  # events, for how many tickets are not counted


def job() -> None:
    days_count()


def days_count(may_go_on: Callable[[], bool] = jobs.may_go_on) -> int:
    """Bring all rows up to the newest event; how many were made."""
    made, start = 0, max(0, _mark() - AGAIN)
    while may_go_on():
        events = _events_after(start)
        if not events:
            break
        made += _renew(_stale(_tickets_of(events)))
        start = events[-1][0]
        _mark_set(start)
    return made


def days_count_some() -> None:
    """What a page does before it is shown: a little; the job does the rest."""
    events = _events_after(max(0, _mark() - AGAIN))
    stale = _stale(_tickets_of(events))
    _renew(stale[:BEFORE_A_PAGE])
    if events and len(stale) <= BEFORE_A_PAGE:
        _mark_set(events[-1][0])


class Waiting(NamedTuple):
    """Tickets that were closed and have no row that says so; ``is_all`` of them."""

    many: int
    is_all: bool


def uncounted(shop: Shop) -> Waiting:
    """Among the next ``LOOKED_AT`` events that the job has not come to."""
    later = Event.objects.filter(pk__gt=_mark()).order_by("pk")
    edge = list(later.values_list("pk", flat=True)[LOOKED_AT : LOOKED_AT + 1])
    closed = by_key({shop.pk}, {Kind.TICKET_CLOSED}).filter(pk__gt=_mark())
    if edge:
        closed = closed.filter(pk__lt=edge[0])
    ids = {pk for pk in closed.values_list("ticket_id", flat=True) if pk is not None}
    counted = TicketDays.objects.filter(pk__in=ids, closed__isnull=False)
    ids -= set(counted.values_list("pk", flat=True))
    return Waiting(_counting().filter(pk__in=ids).count(), is_all=not edge)


def _counting() -> QuerySet[Ticket]:
    """Neither brought in from before nor taken in by mistake."""
    return Ticket.objects.filter(old_number="").exclude(handover__is_undone=True)


def _mark() -> int:
    return CountedUpTo.objects.values_list("event", flat=True).first() or 0


def _mark_set(event: int) -> None:
    """Never back: of two at once the further one counts."""
    row, _is_new = CountedUpTo.objects.get_or_create(pk=1)
    CountedUpTo.objects.filter(pk=row.pk, event__lt=event).update(event=event)


def _events_after(start: int) -> list[tuple[int, int | None]]:
    rows = Event.objects.filter(pk__gt=start).order_by("pk")
    return list(rows.values_list("pk", "ticket_id")[:AT_ONCE])


def _tickets_of(events: Collection[tuple[int, int | None]]) -> set[int]:
    return {ticket for _pk, ticket in events if ticket is not None}


def _stale(ids: Collection[int]) -> list[int]:
    """Those whose row is missing or older than their end; or should not be."""
    newest = dict(
        Event.objects.filter(ticket_id__in=ids)
        .order_by()
        .values_list("ticket_id")
        .annotate(newest=Max("id"))
    )
    rows = TicketDays.objects.filter(pk__in=ids)
    made_at = dict(rows.filter(closed__isnull=False).values_list("pk", "newest_event"))
    made = set(rows.values_list("pk", flat=True))
    ended = dict(_counting().filter(pk__in=ids).values_list("pk", "handover"))
    changed = {pk for pk, end in ended.items() if end and made_at.get(pk) != newest[pk]}
    return sorted(changed | (ended.keys() - made) | (made - ended.keys()))


def _renew(ids: Collection[int]) -> int:
    """Make these rows anew; those that count no more go."""
    if not ids:
        return 0
    with transaction.atomic():
        made = folded(_counting().filter(pk__in=ids), timezone.now())
        rows = [one.row for one in made]
        TicketDays.objects.filter(pk__in=set(ids) - {row.pk for row in rows}).delete()
        TicketDays.objects.bulk_create(
            rows,
            update_conflicts=True,
            unique_fields=["ticket"],
            update_fields=COLUMNS,
        )
    return len(rows)
