"""What people's clocks go by, gathered from the rooms that know it."""

import hashlib
from collections.abc import Collection, Iterator
from datetime import date, datetime, time, timedelta

from django.db import transaction
from django.db.models import Count, Max, QuerySet

from diagnostics import clock_signs, holding
from diagnostics.clock_signs import Period
from shop.billing.clock_kinds import Course
from shop.billing.clocks import Clocks, Mark, What, clocks_of
from shop.billing.models import QuoteAnswer
from shop.intake import cover
from shop.people.hours import DAY
from shop.people.models import Shop
from shop.people.opening_hours import hours_of
from shop.photos.models import Photo
from shop.records.cache import cache
from shop.records.kinds import Kind
from shop.records.models import Event, Note

LOOK_BACK = timedelta(days=14)  # for what was in hand as a stretch began
KEPT_SECONDS = 24 * 60 * 60
NO_WORK = ("reading", "strike", "proof")


def day_bounds(shop: Shop, day: date) -> tuple[datetime, datetime]:
    """The first moments of a day of the shop's and of the next."""
    first, after = (
        datetime.combine(one, time(), shop.zone) for one in (day, day + DAY)
    )
    return first, after


def clocks(
    shop: Shop, people: Collection[int], since: datetime, until: datetime
) -> Clocks:
    """The clocks of these people between two moments, in about ten queries."""
    return _clocks(Period(shop, people, since, until))


def clocks_kept(
    shop: Shop, people: Collection[int], since: datetime, until: datetime
) -> Clocks:
    """The same of days that are over: kept until a row of theirs comes or goes."""
    period = Period(shop, people, since, until)
    name = f"clocks-{_stamp(period)}"
    kept: Clocks | None = cache.get(name)
    if kept is not None:
        return kept
    found = _clocks(period)
    # A row that is taken back gives its key to another.
    transaction.on_commit(lambda: cache.set(name, found, KEPT_SECONDS))
    return found


def _stamp(period: Period) -> str:
    """Says what the clocks are made of: the rows by their count and the newest."""
    rows = (
        _moved(period),
        *clock_signs.rows_of(period),
        _photos(period),
        _notes(period),
    )
    counts = [
        tuple(one.order_by().aggregate(many=Count("pk"), newest=Max("pk")).values())
        for one in rows
    ]
    span = (period.since.isoformat(), period.until.isoformat())
    told = (period.shop.pk, sorted(period.people), span, hours_of(period.shop), counts)
    return hashlib.sha256(repr(told).encode()).hexdigest()


def _clocks(period: Period) -> Clocks:
    marks = [*_moves(period), *_signs(period)]
    found = clocks_of(marks, hours=hours_of(period.shop), until=period.until)
    return Clocks(
        tuple(stint for stint in found.stints if stint.start >= period.since),
        tuple(mark for mark in found.loose if mark.at >= period.since),
    )


def _moved(period: Period) -> QuerySet[Event]:
    return Event.objects.filter(
        shop_id=period.shop.pk,
        kind__in=holding.IN_HAND,
        at__gte=period.since - LOOK_BACK,
        at__lte=period.until,
        person_id__in=period.people,
    )


def _photos(period: Period) -> QuerySet[Photo]:
    return Photo.objects.filter(period.on("received_at"), shop=period.shop)


def _notes(period: Period) -> QuerySet[Note]:
    """The words of a reading or of a proof are told by the reading and the proof."""
    notes = Note.objects.filter(period.on("at"), shop_id=period.shop.pk)
    return notes.exclude(kind__in=NO_WORK).filter(ticket_id__isnull=False)


def _moves(period: Period) -> Iterator[Mark]:
    rows = _moved(period).order_by()
    for pk, kind, at, person, ticket, board, ids in rows.values_list(
        "pk", "kind", "at", "person_id", "ticket_id", "board_id", "ids"
    ):
        yield Mark(
            at=at,
            what=What.TAKEN if kind == Kind.BOARD_TAKEN else What.PUT_DOWN,
            person=person or 0,
            ticket=ticket or 0,
            board=board or 0,
            id=pk,
            way_for=int(ids.get("for", 0)),
            undoes=int(ids.get("undoes", 0)),
        )


def _signs(period: Period) -> Iterator[Mark]:
    for sign in clock_signs.signs(period):
        yield Mark(sign.at, What(sign.what), sign.person, sign.ticket, sign.board)
    for at, by, ticket, board in _photos(period).values_list(
        "received_at", "by_id", "ticket_id", "board_id"
    ):
        yield Mark(at, What.PHOTO, by, ticket or 0, board or 0)
    for moment, writer, number in _notes(period).values_list(
        "at", "by_id", "ticket_id"
    ):
        yield Mark(moment, What.NOTE, writer or 0, number or 0)


def courses(ticket_ids: Collection[int]) -> dict[int, Course]:
    """How each of these tickets went, which says what kind of labour it had."""
    covered = cover.covered_among(ticket_ids)
    said = QuoteAnswer.objects.filter(quote__ticket_id__in=ticket_ids, is_yes=True)
    yes = dict(said.order_by("-at").values_list("quote__ticket_id", "at"))
    works = clock_signs.works_of(ticket_ids)
    proofs = clock_signs.proofs_of(ticket_ids)
    return {
        pk: Course(
            yes_at=yes.get(pk),
            works=tuple(works.get(pk, ())),
            proofs=tuple(proofs.get(pk, ())),
            is_covered=pk in covered,
        )
        for pk in ticket_ids
    }
