"""What all groups of inductors of a board may serve, taken together. PURE.

Clashes are settled by the best total over all groups, and what a technician confirmed
is fixed beforehand.

A wrong name sends a probe to the wrong rail, so a circuit is named only with a clear
share and lead; else the two best stand there with what tells them apart
(``landmarks_apart``).
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from diagnostics.engine.landmarks import Group, Mark, near, scores, shares
from diagnostics.engine.landmarks_figures import (
    CIRCUITS,
    LEAD_FROM,
    NAMED_FROM,
    SEVERAL,
    Circuit,
)


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
