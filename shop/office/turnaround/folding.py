"""A ticket's events as one row: ``TicketDays`` for many tickets at once, unsaved."""

from collections import Counter
from collections.abc import Sequence
from datetime import datetime
from typing import NamedTuple

from django.db.models import Max, Min, QuerySet

from diagnostics import queries_office as bench
from shop.billing.models import Quote
from shop.intake import queries as intake
from shop.intake.models import Answer, Handover, Ticket
from shop.intake.turn import Piece, Turn
from shop.office.models import TicketDays
from shop.office.turnaround.split import Parts, parts_of, seconds
from shop.records.kinds import Kind
from shop.records.models import Event

LIQUID, FELL, HOT, NOTHING = "liquid", "fell", "hot", "nothing"
OF_A_TICKET = "shop_id opened_at intake_kind liquid dropped hot_or_swollen".split()
COLUMNS = [
    "shop",
    "newest_event",
    "opened",
    "closed",
    *Parts._fields,
    "to_reading",
    "to_quote",
    "is_warranty",
    "told",
    "found",
    "family",
    "technician",
]


class Folded(NamedTuple):
    row: TicketDays
    turn: Turn


def folded(tickets: QuerySet[Ticket], now: datetime) -> list[Folded]:
    """With ten queries, however many; the parts of an open one are as of ``now``."""
    known = list(tickets.only("pk", *OF_A_TICKET))
    ids = [ticket.pk for ticket in known]
    newest = _newest(ids)  # before they are folded: never newer than what was
    ends = dict(Handover.objects.filter(ticket__in=ids).values_list("ticket_id", "at"))
    turns = intake.turns_of(known, max([now, *ends.values()]))
    technicians = _technicians(ids)
    readings, quotes = bench.first_cold_readings(ids), _first_quotes(ids)
    families, found = bench.family_codes(ids), bench.found_classes(ids)

    def row(ticket: Ticket) -> TicketDays:
        pieces = turns[ticket.pk].pieces
        opened, closed = _ends(ticket, pieces, ends.get(ticket.pk))
        is_right = closed is None or closed >= opened
        return TicketDays(
            ticket=ticket,
            shop_id=ticket.shop_id,
            newest_event=newest[ticket.pk],
            opened=opened,
            closed=closed,
            **(parts_of(pieces) if is_right else Parts())._asdict(),
            to_reading=_after(opened, readings.get(ticket.pk)),
            to_quote=_after(opened, quotes.get(ticket.pk)),
            is_warranty=ticket.is_warranty,
            told=_told(ticket),
            found=found.get(ticket.pk, ""),
            family=families.get(ticket.pk, ""),
            technician_id=technicians.get(ticket.pk),
        )

    return [Folded(row(ticket), turns[ticket.pk]) for ticket in known]


def _ends(
    ticket: Ticket, pieces: Sequence[Piece], handed: datetime | None
) -> tuple[int, int | None]:
    """When it was opened and closed; as the clock said, where it went back."""
    opened = seconds(pieces[0].start if pieces else ticket.opened_at)
    if handed is None:
        return opened, None
    if handed < ticket.opened_at:
        return opened, seconds(handed)
    return opened, seconds(pieces[-1].end) if pieces else opened


def _after(opened: int, at: datetime | None) -> int | None:
    return None if at is None else max(0, seconds(at) - opened)


def _told(ticket: Ticket) -> str:
    """What was told at the counter; of several the first of these."""
    answers = (
        (LIQUID, ticket.liquid),
        (FELL, ticket.dropped),
        (HOT, ticket.hot_or_swollen),
    )
    return next((code for code, said in answers if said == Answer.YES), NOTHING)


def _newest(ids: Sequence[int]) -> dict[int, int]:
    rows = Event.objects.filter(ticket_id__in=ids).order_by().values_list("ticket_id")
    return {pk: newest for pk, newest in rows.annotate(n=Max("id")) if pk is not None}


def _first_quotes(ids: Sequence[int]) -> dict[int, datetime]:
    rows = Quote.objects.filter(ticket__in=ids).order_by().values_list("ticket_id")
    return dict(rows.annotate(first=Min("sent_at")))


def _technicians(ids: Sequence[int]) -> dict[int, int]:
    """Who took it in hand most often; of two as often, who did so last."""
    taken = Event.objects.filter(ticket_id__in=ids, kind=Kind.BOARD_TAKEN)
    times: dict[int, Counter[int]] = {}
    for pk, person in taken.order_by("-id").values_list("ticket_id", "person_id"):
        if pk is not None and person is not None:
            times.setdefault(pk, Counter())[person] += 1
    return {pk: counted.most_common(1)[0][0] for pk, counted in times.items()}
