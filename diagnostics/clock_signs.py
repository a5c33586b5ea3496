"""What the bench knows of people's work and of machines' time, as plain rows."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import BigIntegerField, CharField, F, Q, QuerySet, Value
from django.db.models.functions import Coalesce

from diagnostics.models import (
    Calculation,
    Finding,
    Intervention,
    InterventionKind,
    MachineRun,
    PartTestStep,
    ProofItem,
    Reading,
    ReadingSource,
    Sighting,
)
from shop.people.models import Shop


@dataclass(frozen=True)
class Sign:
    """That a person worked on a ticket or a board; ``what`` is a plain word."""

    at: datetime
    what: str
    person: int
    ticket: int
    board: int


@dataclass(frozen=True)
class Period:
    """Whose signs are asked for, and of which stretch."""

    shop: Shop
    people: Collection[int]
    since: datetime
    until: datetime

    def on(self, moment: str) -> Q:
        span = {f"{moment}__gte": self.since, f"{moment}__lte": self.until}
        return Q(by_id__in=self.people, **span)


# What, its rows, and where their moment, ticket and board stand.
Source = tuple[str, QuerySet[Any], str, str, str | None]


def sources() -> tuple[Source, ...]:
    """All that people do at boards; told readings are none of ours."""
    ours = Reading.objects.filter(source=ReadingSource.OURS)
    works = Intervention.objects.exclude(kind=InterventionKind.AWAY)
    steps = PartTestStep.objects.all()
    return (
        ("reading", ours, "taken_at", "ticket_id", "board_id"),
        ("reading", steps, "at", "test__ticket_id", "test__board_id"),
        ("seen", Sighting.objects.all(), "at", "ticket_id", "board_id"),
        ("seen", Finding.objects.all(), "at", "ticket_id", "board_id"),
        ("seen", Calculation.objects.all(), "at", "ticket_id", "board_id"),
        ("work", works, "at", "ticket_id", "board_id"),
        ("proof", ProofItem.objects.all(), "at", "ticket_id", None),
        ("machine", MachineRun.objects.all(), "started_at", "ticket_id", "board_id"),
    )


def rows_of(period: Period) -> list[QuerySet[Any]]:
    """What the signs of these people are read from."""
    return [rows.filter(period.on(moment)) for _what, rows, moment, *_at in sources()]


def signs(period: Period) -> Iterator[Sign]:
    """What these people did at boards, in one query."""
    first, *others = (
        rows.filter(period.on(moment))
        .order_by()
        .annotate(
            told=Value(what, CharField()),
            moment=F(moment),
            person=F("by_id"),
            on_ticket=Coalesce(F(ticket), 0, output_field=BigIntegerField()),
            on_board=Coalesce(F(board), 0, output_field=BigIntegerField())
            if board
            else Value(0, BigIntegerField()),
        )
        .values_list("moment", "told", "person", "on_ticket", "on_board")
        for what, rows, moment, ticket, board in sources()
    )
    for row in first.union(*others, all=True):
        yield Sign(*row)


def works_of(tickets: Collection[int]) -> dict[int, list[datetime]]:
    """When something was done to the boards of each ticket."""
    done = Intervention.objects.filter(ticket_id__in=tickets)
    return _moments(done.exclude(kind=InterventionKind.AWAY).order_by("at"))


def proofs_of(tickets: Collection[int]) -> dict[int, list[datetime]]:
    return _moments(ProofItem.objects.filter(ticket_id__in=tickets).order_by("at"))


def _moments(
    rows: QuerySet[Intervention] | QuerySet[ProofItem],
) -> dict[int, list[datetime]]:
    found: dict[int, list[datetime]] = {}
    for ticket, at in rows.values_list("ticket_id", "at"):
        found.setdefault(ticket or 0, []).append(at)
    return found


def runs_between(
    tickets: Collection[int], since: datetime, until: datetime
) -> list[MachineRun]:
    """Machine runs that go on, or went on, within a stretch."""
    runs = MachineRun.objects.filter(ticket_id__in=tickets, started_at__lte=until)
    still = Q(end=None) | Q(end__ended_at__gte=since)
    found = runs.filter(still).annotate(ended_at=F("end__ended_at"))
    return list(found.order_by("started_at"))
