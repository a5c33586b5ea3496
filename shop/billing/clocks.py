"""A person's clock, reckoned from the marks that their work left. PURE.

Taking a board in hand starts the clock, putting it down stops it, taking another
moves it: a person has one clock. A reading, a photo or a note is a *sign* that the
clock was right to run. Without any sign it stops after three hours, and it stops
when the shop closes; the next sign at the board still in hand starts it again. What
somebody does at a board that they have not in hand moves no clock: it is told apart.

Moments are aware; a stint lies within one day of the shop's zone.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, time, timedelta
from enum import StrEnum
from operator import attrgetter

from shop.people.hours import DAY, Hours, is_open, open_on

LONGEST = timedelta(hours=3)  # without a sign; domain brief and issue: 3 h
NO_TICKET = 0
LONG_AGO = datetime(1970, 1, 1, tzinfo=UTC)


class What(StrEnum):
    """What left a mark; the first two move the clock, the others are signs."""

    PUT_DOWN = "put_down"
    TAKEN = "taken"
    READING = "reading"
    SEEN = "seen"
    WORK = "work"
    PROOF = "proof"
    PHOTO = "photo"
    NOTE = "note"
    MACHINE = "machine"


ORDER = {what: place for place, what in enumerate(What)}
MOVES = frozenset({What.PUT_DOWN, What.TAKEN})


class End(StrEnum):
    """Why a stint ended."""

    PUT_DOWN = "put_down"
    MOVED = "moved"
    SILENT = "silent"  # three hours without a sign
    CLOSING = "closing"
    MIDNIGHT = "midnight"
    RUNNING = "running"  # it has not: the clock runs on


@dataclass(frozen=True)
class Mark:
    """One thing that a person did. ``ticket`` 0: a board of the shop's own.

    ``id`` names what moves the clock. A putting down that only made way for a taking
    names it in ``way_for``; an undo names the taking that it takes back in ``undoes``.
    """

    at: datetime
    what: What
    person: int
    ticket: int
    board: int = 0
    id: int = 0
    way_for: int = 0
    undoes: int = 0

    @property
    def order(self) -> tuple[datetime, bool, int, int, int, int]:
        """Of one moment: what moves the clock as it was written, then the signs."""
        is_sign = self.what not in MOVES
        place = ORDER[self.what]
        return (self.at, is_sign, self.id, place, self.ticket, self.board)


@dataclass(frozen=True)
class Stint:
    """One person's unbroken time at one ticket, with its signs in their order."""

    person: int
    ticket: int
    board: int
    start: datetime
    end: datetime
    ended: End
    in_hours: bool
    signs: tuple[Mark, ...] = ()

    @property
    def length(self) -> timedelta:
        return self.end - self.start

    @property
    def is_plain(self) -> bool:
        """Short and in opening hours: it may be billed after one glance."""
        is_cut = self.ended in {End.SILENT, End.MIDNIGHT}
        return self.in_hours and not is_cut and self.length < LONGEST


@dataclass(frozen=True)
class Clocks:
    """The stints of everybody, and the signs that lie in none of them."""

    stints: tuple[Stint, ...]
    loose: tuple[Mark, ...]


def clocks_of(marks: Iterable[Mark], *, hours: Hours, until: datetime) -> Clocks:
    """What the clocks of the people who left these marks show at ``until``.

    Marks of one moment may come in any order, and twice. What lies after ``until``
    has not happened.
    """
    of_person = defaultdict[int, list[Mark]](list)
    for mark in standing(set(marks)):
        if mark.at <= until:
            of_person[mark.person].append(mark)
    runs = [
        _Clock(person, hours).run(sorted(own, key=attrgetter("order")), until)
        for person, own in sorted(of_person.items())
    ]
    return Clocks(
        tuple(stint for run in runs for stint in run.stints),
        tuple(mark for run in runs for mark in run.loose),
    )


def standing(marks: set[Mark]) -> Iterator[Mark]:
    """The marks without the takings that were undone, and what made way for them."""
    undone = {mark.undoes for mark in marks if mark.undoes}
    for mark in marks:
        is_taking = mark.what == What.TAKEN and mark.id in undone
        is_undoing = mark.what == What.PUT_DOWN and mark.undoes
        if not (is_taking or is_undoing or mark.way_for in undone):
            yield mark


@dataclass(frozen=True)
class _Edge:
    """The shop opens or closes, or a day begins."""

    at: datetime
    opens: bool = False
    is_again: bool = False
    is_midnight: bool = False

    @property
    def order(self) -> tuple[datetime, bool]:
        """At one moment it closes before it opens."""
        return (self.at, self.opens)


@dataclass
class _Clock:
    """One clock as it runs: what is in hand, since when, and its last sign."""

    person: int
    hours: Hours
    hand: tuple[int, int] | None = None
    since: datetime | None = None
    last: datetime = LONG_AGO
    signs: list[Mark] = field(default_factory=list)
    stints: list[Stint] = field(default_factory=list)
    loose: list[Mark] = field(default_factory=list)

    def run(self, marks: list[Mark], until: datetime) -> "_Clock":
        edges = sorted(_edges(self.hours, marks[0].at, until), key=attrgetter("order"))
        # Both are in order: edges of a moment stay before its marks.
        steps: list[_Edge | Mark] = [*edges, *marks]
        for step in sorted(steps, key=attrgetter("at")):
            self.fall_silent(step.at)
            if isinstance(step, _Edge):
                self.at_edge(step)
            else:
                self.at_mark(step)
        self.fall_silent(until)
        self.stop(until, End.RUNNING)
        return self

    def at_mark(self, mark: Mark) -> None:
        here = (mark.ticket, mark.board)
        if mark.what == What.PUT_DOWN:
            if self.hand is not None and self.hand[1] == mark.board:
                self.stop(mark.at, End.PUT_DOWN)
                self.hand = None
        elif mark.what == What.TAKEN and self.hand != here:
            self.stop(mark.at, End.MOVED)
            self.hand = here
            self.start(mark.at)
        elif self.is_in_hand(mark):
            if self.since is None:
                self.start(mark.at)
            self.last = mark.at
            self.signs.append(mark)
        else:
            self.loose.append(mark)

    def is_in_hand(self, mark: Mark) -> bool:
        if self.hand is None:
            return False
        ticket, board = self.hand
        return mark.board == board or (mark.ticket == ticket and ticket != NO_TICKET)

    def at_edge(self, edge: _Edge) -> None:
        is_running = self.since is not None
        if not edge.opens:
            self.stop(edge.at, End.MIDNIGHT if edge.is_midnight else End.CLOSING)
        elif is_running:
            self.stop(edge.at, End.MOVED)
            self.since = edge.at
        elif edge.is_again and self.hand and edge.at - self.last < LONGEST:
            self.since = edge.at

    def fall_silent(self, now: datetime) -> None:
        if self.since is not None and now - self.last > LONGEST:
            self.stop(self.last + LONGEST, End.SILENT)

    def start(self, at: datetime) -> None:
        self.since = self.last = at

    def stop(self, at: datetime, why: End) -> None:
        if self.since is not None and self.hand is not None and at > self.since:
            ticket, board = self.hand
            in_hours = not self.hours.week or is_open(self.hours, self.since)
            signs = tuple(self.signs)
            self.stints.append(
                Stint(self.person, ticket, board, self.since, at, why, in_hours, signs)
            )
        else:
            self.loose += self.signs
        self.since, self.signs = None, []


def _edges(hours: Hours, since: datetime, until: datetime) -> Iterator[_Edge]:
    first, last = (at.astimezone(hours.zone).date() for at in (since, until))
    for number in range((last - first).days + 1):
        day = first + number * DAY
        midnight = datetime.combine(day, time(), hours.zone).astimezone(UTC)
        if since < midnight <= until:
            yield _Edge(midnight, is_midnight=True)
        for place, (opens, closes) in enumerate(open_on(hours, day)):
            if since < opens <= until:
                yield _Edge(opens, opens=True, is_again=place > 0)
            if since < closes <= until:
                yield _Edge(closes)
