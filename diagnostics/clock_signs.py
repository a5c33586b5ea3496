"""What the bench knows of people's work and of machines' time, as plain rows."""

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from datetime import datetime

from django.db.models import F, Model, Q, QuerySet

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
Source = tuple[str, type[Model], str, str, str]
SOURCES: tuple[Source, ...] = (
    ("reading", Reading, "taken_at", "ticket_id", "board_id"),
    ("reading", PartTestStep, "at", "test__ticket_id", "test__board_id"),
    ("seen", Sighting, "at", "ticket_id", "board_id"),
    ("seen", Finding, "at", "ticket_id", "board_id"),
    ("seen", Calculation, "at", "ticket_id", "board_id"),
    ("work", Intervention, "at", "ticket_id", "board_id"),
    ("machine", MachineRun, "started_at", "ticket_id", "board_id"),
)


def signs(period: Period) -> Iterator[Sign]:
    """Readings and all else that people did at boards; told readings are no work."""
    for what, model, moment, ticket, board in SOURCES:
        rows = model._default_manager.filter(period.on(moment))
        if model is Reading:
            rows = rows.filter(source=ReadingSource.OURS)
        if model is Intervention:
            rows = rows.exclude(kind=InterventionKind.AWAY)
        for at, by, on_ticket, on_board in rows.values_list(
            moment, "by_id", ticket, board
        ):
            yield Sign(at, what, by, on_ticket or 0, on_board or 0)
    proofs = ProofItem.objects.filter(period.on("at"))
    for at, by, on_ticket in proofs.values_list("at", "by_id", "ticket_id"):
        yield Sign(at, "proof", by, on_ticket, 0)


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
