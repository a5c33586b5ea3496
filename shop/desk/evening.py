"""The evening list: a person's day as their clock has it, to be confirmed."""

import hashlib
from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

from diagnostics import clock_signs
from diagnostics.models import MachineRun
from shop.billing.clock_kinds import Course, kind_at
from shop.billing.clocks import Mark, Stint, What
from shop.billing.day_split import (
    Gap,
    Share,
    gaps_of,
    shares_of,
    silences_of,
)
from shop.billing.days import Confirmed, confirmed_days
from shop.desk import evening_words as words
from shop.desk.evening_marks import clocks, clocks_kept, courses, day_bounds
from shop.intake.models import Ticket
from shop.people.models import Person, Shop
from shop.people.opening_hours import hours_of
from shop.records.kinds import Kind
from shop.records.models import Event

AT_THE_BENCH = {What.READING, What.SEEN, What.WORK, What.PROOF}
LATELY = timedelta(days=7)  # how far back time that nobody confirmed is estimated
A_MONTH = timedelta(days=31)  # and is asked for before an invoice


@dataclass(frozen=True)
class DayFound:
    """One person's day, or one ticket's part of it."""

    person_id: int
    day: date
    stints: tuple[Stint, ...]
    loose: tuple[Mark, ...]
    confirmed: Confirmed
    shares: tuple[Share, ...]

    @property
    def minutes(self) -> int:
        """What is proposed and not confirmed."""
        return sum(share.minutes for share in self.shares)

    @property
    def is_plain(self) -> bool:
        return all(stint.is_plain for stint in self.stints)


def days_found(
    shop: Shop,
    people: Collection[int],
    since: datetime,
    until: datetime,
    *,
    ticket_id: int | None = None,
    are_over: bool = False,
) -> list[DayFound]:
    """The days of these people between two moments, oldest first."""
    if not people:
        return []
    found = (clocks_kept if are_over else clocks)(shop, people, since, until)
    stints = [s for s in found.stints if ticket_id in {None, s.ticket}]
    of = courses({one.ticket for one in stints} - {0})
    first, last = (at.astimezone(shop.zone).date() for at in (since, until))
    confirmed = confirmed_days(shop, people, first, last)
    by_day = defaultdict[tuple[date, int], list[Stint]](list)
    for stint in stints:
        by_day[_day(stint.start, shop), stint.person].append(stint)
    loose = defaultdict[tuple[date, int], list[Mark]](list)
    for mark in found.loose:
        if mark.what in AT_THE_BENCH:
            loose[_day(mark.at, shop), mark.person].append(mark)
    return [
        DayFound(
            person,
            day,
            tuple(by_day[day, person]),
            tuple(loose[day, person]),
            (done := confirmed.get((person, day), Confirmed())),
            shares_of(by_day[day, person], of, typed=done.typed, seen=done.seen),
        )
        for day, person in sorted({*by_day, *loose})
    ]


def _day(at: datetime, shop: Shop) -> date:
    return at.astimezone(shop.zone).date()


def people_with_clocks(
    shop: Shop, since: datetime, until: datetime, ticket_id: int | None = None
) -> set[int]:
    """Who took a board in hand, of one ticket if it is asked so."""
    taken = Event.objects.filter(
        shop_id=shop.pk, kind=Kind.BOARD_TAKEN, at__gte=since, at__lte=until
    )
    if ticket_id is not None:
        taken = taken.filter(ticket_id=ticket_id)
    people = taken.order_by().values_list("person_id", flat=True).distinct()
    return {pk for pk in people if pk}


def unconfirmed_of(
    ticket: Ticket, now: datetime, *, back: timedelta = LATELY
) -> list[DayFound]:
    """The days on which clocks ran for a ticket and nobody confirmed it yet."""
    shop = ticket.shop
    since = max(ticket.opened_at, now - back)
    people = people_with_clocks(shop, since, now, ticket.pk)
    first, _after = day_bounds(shop, _day(since, shop))
    found = days_found(shop, people, first, now, ticket_id=ticket.pk)
    return [one for one in found if one.minutes]


def estimate_of(ticket: Ticket, now: datetime) -> list[tuple[str, int, int]]:
    """Minutes by kind and person that clocks have and nobody confirmed."""
    minutes = Counter[tuple[str, int]]()
    for one in unconfirmed_of(ticket, now):
        for share in one.shares:
            minutes[share.kind, one.person_id] += share.minutes
    return [(kind, person_id, count) for (kind, person_id), count in minutes.items()]


def unconfirmed_days(
    shop: Shop, now: datetime, *, of: Person | None = None
) -> list[tuple[Person, date, int]]:
    """Whose days of the last week, today left out, nobody confirmed."""
    today, _after = day_bounds(shop, _day(now, shop))
    since = today - LATELY
    people = {of.pk} if of else people_with_clocks(shop, since, today)
    named = Person.objects.in_bulk(list(people))
    last = today - timedelta(seconds=1)
    found = days_found(shop, people, since, last, are_over=True)
    return [
        (named[one.person_id], one.day, one.minutes) for one in found if one.minutes
    ]


# --- one person's list ---


@dataclass(frozen=True)
class Line:
    """One field of the list: what is proposed for a ticket and kind."""

    share: Share
    minutes: int

    @property
    def name(self) -> str:
        return f"{self.share.ticket}-{self.share.kind}"

    @property
    def note(self) -> str:
        return words.of_share(self.share)


@dataclass
class Block:
    """One ticket of the day: when, by what signs, and how much is proposed."""

    ticket: Ticket
    stints: list[Stint] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)
    silences: list[Gap] = field(default_factory=list)
    looks: list[str] = field(default_factory=list)
    machine: list[str] = field(default_factory=list)
    loose: list[Mark] = field(default_factory=list)

    @property
    def evidence(self) -> str:
        return words.evidence(self.stints)

    @property
    def outside(self) -> str:
        return words.outside(self.loose)


@dataclass(frozen=True)
class Evening:
    """A person's day as the list shows it, as of ``until``."""

    person: Person
    day: date
    until: datetime
    found: DayFound | None
    blocks: tuple[Block, ...]
    gaps: tuple[Gap, ...]

    @property
    def confirmed(self) -> Confirmed:
        return self.found.confirmed if self.found else Confirmed()

    @property
    def shares(self) -> tuple[Share, ...]:
        return self.found.shares if self.found else ()

    @property
    def minutes(self) -> int:
        return sum(share.minutes for share in self.shares)

    @property
    def lines(self) -> list[Line]:
        return [line for block in self.blocks for line in block.lines]

    @property
    def digest(self) -> str:
        """Another text once another mark came in."""
        told = [(s.ticket, s.kind, s.clock, s.seen, s.typed) for s in self.shares]
        return hashlib.sha256(repr(sorted(told)).encode()).hexdigest()[:16]


def evening_of(shop: Shop, person: Person, day: date, until: datetime) -> Evening:
    first, _after = day_bounds(shop, day)
    found = next(iter(days_found(shop, [person.pk], first, until)), None)
    blocks = _blocks(shop, person, found, first, until)
    gaps = gaps_of(found.stints, found.loose, hours_of(shop)) if found else ()
    return Evening(person, day, until, found, tuple(blocks), gaps)


def _blocks(
    shop: Shop, person: Person, found: DayFound | None, since: datetime, until: datetime
) -> Iterable[Block]:
    """The tickets of a day: worked on, or left to a machine by this person."""
    own_runs = MachineRun.objects.filter(
        by=person, ticket__shop=shop, started_at__gte=since, started_at__lte=until
    )
    ids = set(own_runs.values_list("ticket_id", flat=True))
    if found is not None:
        ids |= {s.ticket for s in found.stints} | {m.ticket for m in found.loose}
    tickets = Ticket.objects.filter(pk__in=ids).select_related("device", "shop")
    blocks = {ticket.pk: Block(ticket) for ticket in tickets}
    if found is not None:
        _fill(blocks, found)
    for run in clock_signs.runs_between(ids, since, until):
        blocks[run.ticket_id].machine.append(words.of_run(run, until))
    return sorted(blocks.values(), key=lambda block: _begun(block, until))


def _fill(blocks: Mapping[int, Block], found: DayFound) -> None:
    for stint in found.stints:
        if stint.ticket:
            block = blocks[stint.ticket]
            block.stints.append(stint)
            block.silences += silences_of(stint)
            block.looks += words.looks(stint)
    for mark in found.loose:
        if mark.ticket:
            blocks[mark.ticket].loose.append(mark)
    for share in found.shares:
        if share.clock:
            blocks[share.ticket].lines.append(Line(share, share.minutes))
    without = [b for b in blocks.values() if b.loose and not b.lines]
    went = courses([block.ticket.pk for block in without])
    for block in without:
        block.lines.append(_line_of_signs(block, went[block.ticket.pk]))


def _line_of_signs(block: Block, course: Course) -> Line:
    """Work that no clock has: nothing is proposed, minutes may be typed."""
    last = block.loose[-1]
    kind = kind_at(course, last.what, last.at)
    start = block.loose[0].at
    return Line(Share(block.ticket.pk, kind, start, clock=0, seen=0, typed=0), 0)


def _begun(block: Block, otherwise: datetime) -> tuple[datetime, int]:
    moments = [one.start for one in block.stints] + [one.at for one in block.loose]
    return (min(moments, default=otherwise), block.ticket.pk)
