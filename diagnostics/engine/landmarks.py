"""Which inductors serve which rail, from marks on a picture of the board. PURE.

Positions are in diagonals of the board, both sides in one frame: the bottom is seen
mirrored in x, so that what lies behind a mark has the mark's own place (``Outline``).
Inductors alike and near each other are one group (``groups_of``); what is near a group,
how many there are, how large and how marked gives each circuit a score, and the scores
their shares (``find``). Clashes are settled by the best total over all groups, and what
a technician confirmed is fixed beforehand.

A wrong name sends a probe to the wrong rail, so a circuit is named only with a clear
share and lead; else the two best stand there with what tells them apart.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import exp, hypot

import numpy as np

from diagnostics.engine.landmarks_figures import (
    BANDS,
    CIRCUITS,
    COUNT_TERMS,
    IN_BAND,
    LEAD_FROM,
    NAMED_FROM,
    NEIGHBOURS,
    OUT_OF_BAND,
    REACH,
    SEVERAL,
    SIZE_TERMS,
    THROUGH_THE_BOARD,
    UNKNOWN_SCORE,
    WEIGHTS,
    Circuit,
    Landmark,
    Side,
)


@dataclass(frozen=True)
class Outline:
    """The board in its picture: width and height in any one unit.

    >>> Outline(300, 400).place(0.5, 0.5, Side.TOP)
    (0.3, 0.4)
    """

    width: float
    height: float

    def place(self, x: float, y: float, side: Side) -> tuple[float, float]:
        """A place given in parts of the board's width and height, in diagonals."""
        diagonal = hypot(self.width, self.height)
        across = 1 - x if side is Side.BOTTOM else x
        return across * self.width / diagonal, y * self.height / diagonal


@dataclass(frozen=True)
class Mark:
    """A landmark, in diagonals of the board."""

    kind: Landmark
    x: float
    y: float
    side: Side


@dataclass(frozen=True)
class Inductor:
    """An inductor: ``size`` 1 under 4 mm, 2 to 7, 3 to 10, 4 over 10 mm; ``look`` a
    letter for those that look alike; ``microhenries`` where its marking was read."""

    id: int
    x: float
    y: float
    side: Side
    size: int
    look: str
    microhenries: float | None = None


@dataclass(frozen=True)
class Group:
    """Inductors alike and side by side, in the order of their ids."""

    members: tuple[Inductor, ...]

    @property
    def side(self) -> Side:
        return self.members[0].side

    @property
    def size(self) -> int:
        return self.members[0].size

    @property
    def centre(self) -> tuple[float, float]:
        count = len(self.members)
        return (
            sum(one.x for one in self.members) / count,
            sum(one.y for one in self.members) / count,
        )


@dataclass(frozen=True)
class Near:
    """The nearest landmark of a kind: how far, and whether on the other side."""

    kind: Landmark
    distance: float
    is_behind: bool

    @property
    def nearness(self) -> float:
        kept = THROUGH_THE_BOARD if self.is_behind else 1.0
        return kept * exp(-((self.distance / REACH) ** 2))


@dataclass(frozen=True)
class Found:
    """What a group may serve. ``shares`` are all, likeliest first; ``circuit`` is what
    is left to it where every group has its own."""

    group: Group
    circuit: Circuit
    shares: tuple[tuple[Circuit, float], ...]
    is_confirmed: bool

    @property
    def share(self) -> float:
        return dict(self.shares).get(self.circuit, 0.0)

    @property
    def lead(self) -> float:
        """How far the likeliest is ahead of the next."""
        return self.shares[0][1] - self.shares[1][1]

    @property
    def is_taken(self) -> bool:
        """Whether another group has a better claim to what this one looks like."""
        return not self.is_confirmed and self.circuit is not self.shares[0][0]

    @property
    def is_named(self) -> bool:
        if self.is_confirmed:
            return True
        is_clear = self.share >= NAMED_FROM and self.lead >= LEAD_FROM
        return self.circuit is not Circuit.UNKNOWN and not self.is_taken and is_clear

    @property
    def best(self) -> tuple[tuple[Circuit, float], ...]:
        """The two likeliest circuits that are any."""
        known = [one for one in self.shares if one[0] is not Circuit.UNKNOWN]
        return tuple(known[:2])


# --- groups -------------------------------------------------------------------


def groups_of(inductors: Iterable[Inductor]) -> tuple[Group, ...]:
    """Inductors of one side, size and look, each near another of its group.

    In the order of each group's first id, so that letters stay when marks are added.
    """
    left = sorted(inductors, key=lambda one: one.id)
    groups = []
    while left:
        members, others = _chained(left[0], left[1:])
        groups.append(Group(tuple(sorted(members, key=lambda one: one.id))))
        left = others
    return tuple(groups)


def _chained(
    first: Inductor, others: list[Inductor]
) -> tuple[list[Inductor], list[Inductor]]:
    """All that hang together with the first, and the rest."""
    members, waiting = [first], [first]
    while waiting:
        here = waiting.pop()
        joined = [one for one in others if _are_neighbours(here, one)]
        others = [one for one in others if one not in joined]
        members += joined
        waiting += joined
    return members, others


def _are_neighbours(one: Inductor, other: Inductor) -> bool:
    are_alike = (one.side, one.size, one.look) == (other.side, other.size, other.look)
    return are_alike and hypot(one.x - other.x, one.y - other.y) <= NEIGHBOURS


# --- scores -------------------------------------------------------------------


def near(group: Group, marks: Iterable[Mark]) -> dict[Landmark, Near]:
    """The nearest landmark of each kind."""
    x, y = group.centre
    found: dict[Landmark, Near] = {}
    for mark in marks:
        distance = hypot(mark.x - x, mark.y - y)
        one = Near(mark.kind, distance, mark.side is not group.side)
        known = found.get(mark.kind)
        if known is None or (one.distance, one.is_behind) < (
            known.distance,
            known.is_behind,
        ):
            found[mark.kind] = one
    return found


def scores(
    group: Group, around: Mapping[Landmark, Near], circuits: Collection[Circuit]
) -> dict[Circuit, float]:
    """Each circuit's score: what is near, and the shape of the group."""
    found = {Circuit.UNKNOWN: UNKNOWN_SCORE}
    for one in CIRCUITS:
        if one in circuits:
            found[one] = _score(group, around, one)
    return found


def _score(group: Group, around: Mapping[Landmark, Near], circuit: Circuit) -> float:
    by_place = sum(
        weight * around[kind].nearness
        for kind, weight in WEIGHTS[circuit].items()
        if kind in around
    )
    count = COUNT_TERMS[circuit][min(len(group.members), 3) - 1]
    size = SIZE_TERMS[circuit][group.size - 1]
    return by_place + count + size + _marking_term(group, circuit)


def _marking_term(group: Group, circuit: Circuit) -> float:
    """For or against, where all markings that were read say the same."""
    read = [one.microhenries for one in group.members if one.microhenries is not None]
    inside = {any(low <= one <= high for low, high in BANDS[circuit]) for one in read}
    if len(inside) != 1:
        return 0.0
    return IN_BAND if inside.pop() else OUT_OF_BAND


def shares(scored: Mapping[Circuit, float]) -> tuple[tuple[Circuit, float], ...]:
    """The softmax of the scores, likeliest first."""
    most = max(scored.values())
    odds = {one: exp(score - most) for one, score in scored.items()}
    total = sum(odds.values())
    return tuple(
        sorted(
            ((one, odd / total) for one, odd in odds.items()), key=lambda one: -one[1]
        )
    )


# --- all groups together ------------------------------------------------------


def assigned(scored: Sequence[Mapping[Circuit, float]]) -> tuple[Circuit, ...]:
    """A circuit for each group, so that the scores add up to the most.

    Each circuit goes to one group, except those of ``SEVERAL`` and *unknown*; all
    groups are scored over the same circuits.
    """
    if not scored:
        return ()
    # Slow to import: a page without marks spares it.
    from scipy import optimize  # type: ignore[import-untyped]  # noqa: PLC0415

    may_repeat = SEVERAL | {Circuit.UNKNOWN}
    columns = [
        one
        for one in scored[0]
        for _copy in range(len(scored) if one in may_repeat else 1)
    ]
    worth = np.array([[own[one] for one in columns] for own in scored])
    _rows, chosen = optimize.linear_sum_assignment(worth, maximize=True)
    return tuple(columns[column] for column in chosen)


def find(
    groups: Sequence[Group],
    marks: Sequence[Mark],
    *,
    confirmed: Mapping[int, Circuit] | None = None,
    circuits: Collection[Circuit] = CIRCUITS,
) -> tuple[Found, ...]:
    """What every group may serve, in the order of the groups.

    ``confirmed`` are circuits by the place of the group in ``groups``; what was
    confirmed of one group is open to no other, except circuits of ``SEVERAL``.
    ``circuits`` are those that the board may have.
    """
    fixed = dict(confirmed or {})
    gone = set(fixed.values()) - SEVERAL
    still_open = [one for one in circuits if one not in gone]
    around = [near(group, marks) for group in groups]
    open_ones = [place for place in range(len(groups)) if place not in fixed]
    scored = [scores(groups[one], around[one], still_open) for one in open_ones]
    settled = dict(zip(open_ones, assigned(scored), strict=True)) | fixed
    own = dict(zip(open_ones, scored, strict=True))
    return tuple(
        Found(
            group=group,
            circuit=settled[place],
            shares=shares(own.get(place) or scores(group, around[place], circuits)),
            is_confirmed=place in fixed,
        )
        for place, group in enumerate(groups)
    )
