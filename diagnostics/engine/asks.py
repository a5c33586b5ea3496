"""What to measure next: the most expected information for a minute. PURE.

The predictive histogram of an open check is the mixture of those of all faults,
weighed by their probabilities and by the virtual boards still likely. Its entropy
less the mean entropy of the faults' own is the information expected from asking
(in nats), and that is divided by the minutes. Greedy information a minute is a
heuristic; it proved enough where costs are by check.

Two readings may tell together what neither tells alone: twin phases of one
converter differ by millivolts that designs hide. Such a pair is offered as one ask.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.discrete import information
from diagnostics.engine.histograms import difference, histograms_of
from diagnostics.engine.kernels import Kernels
from diagnostics.engine.weigh import Weighing

LEAST_SHARE = 1e-4


@dataclass(frozen=True)
class Ask:
    """An open point, the information it is expected to give (nats), and a minute's."""

    point: str
    information: float
    rate: float


class Asker:
    """Histograms of every point, made once; an ask only reweighs them."""

    def __init__(
        self,
        kernels: Kernels,
        minutes: Callable[[str], float],
        twins: Sequence[tuple[str, str]] = (),
        missed: float = 0.02,
    ) -> None:
        self.kernels = kernels
        self.points = (*kernels.predictions.points, *kernels.answers)
        self.minutes = np.array([minutes(point) for point in self.points])
        self.histograms = histograms_of(kernels, missed)
        self.twins = [
            (kernels.place[a], kernels.place[b], difference(kernels, a, b))
            for a, b in twins
        ]

    def outlook(self, weighing: Weighing, is_open: Callable[[str], bool]) -> "Outlook":
        """What the open checks would show, as it looks now."""
        shares, _other, boards = weighing.posterior()
        likely = np.flatnonzero(shares > LEAST_SHARE)
        rows = {
            at: self.histograms[at].of(likely, boards)
            for at, point in enumerate(self.points)
            if is_open(point) and (self.histograms[at].rows[likely] >= 0).any()
        }
        return Outlook(
            self, likely, shares[likely] / shares[likely].sum(), boards, rows
        )

    def asks(self, weighing: Weighing, is_open: Callable[[str], bool]) -> list[Ask]:
        """Every open ask, the best for a minute first."""
        return self.outlook(weighing, is_open).asks()


@dataclass(frozen=True)
class Outlook:
    """Predictive histograms of the open checks, for the faults still likely.

    ``likely`` are rows of faults, ``shares`` theirs (adding up to 1), ``rows`` by
    place of the check: (likely faults, bins). A check of which no likely fault
    changes anything is left out: it tells nothing.
    """

    asker: Asker
    likely: Floats
    shares: Floats
    boards: Floats
    rows: dict[int, Floats]

    def asks(self) -> list[Ask]:
        """Every ask that may tell something, the best for a minute first."""
        found = {at: information(rows, self.shares) for at, rows in self.rows.items()}
        minutes = self.asker.minutes
        for first, second, histogram in self.asker.twins:
            if first in found and second in found:
                both = self._of_pair(histogram)
                together = minutes[first] + minutes[second]
                if both / together > found[first] / minutes[first]:
                    found[first] = both * minutes[first] / together
        made = [
            Ask(self.asker.points[at], told, told / float(minutes[at]))
            for at, told in found.items()
        ]
        return sorted(made, key=lambda one: (-one.rate, one.point))

    def _of_pair(self, histogram: Floats) -> float:
        boards = self.boards[self.likely]
        rows = np.einsum("hbk,hk->hb", histogram[self.likely], boards, optimize=True)
        return information(rows, self.shares)

    def apart(self, groups: Sequence[Sequence[int]]) -> Floats:
        """How well the best open check tells the first group of faults from each
        group, 0 to 1; nought where one of the two is no longer likely."""
        made: Floats = self.apart_by_check(groups).max(axis=0, initial=0.0)
        return made

    def apart_by_check(self, groups: Sequence[Sequence[int]]) -> Floats:
        """The same by check, in the order of ``rows``: (checks, groups)."""
        weights, is_likely = self._weights(groups)
        found = [0.5 * _apart(weights @ rows) for rows in self.rows.values()]
        made: Floats = np.array(found).reshape(len(found), len(groups))
        return np.where(is_likely & is_likely[0], made, 0.0)

    def apart_at(self, at: int, groups: Sequence[Sequence[int]]) -> Floats:
        """The same at one check."""
        weights, is_likely = self._weights(groups)
        made = 0.5 * _apart(weights @ self.rows[at])
        return np.where(is_likely & is_likely[0], made, 0.0)

    def _weights(
        self, groups: Sequence[Sequence[int]]
    ) -> tuple[Floats, np.typing.NDArray[np.bool_]]:
        """(groups, likely faults): shares within each group, and whether any."""
        shares = np.zeros(len(self.asker.kernels.predictions.faults))
        shares[self.likely] = self.shares
        weights = np.zeros((len(groups), len(shares)))
        for place, group in enumerate(groups):
            weights[place, group] = shares[group]
        sums = weights.sum(axis=1)
        made: Floats = weights[:, self.likely] / np.maximum(sums, LEAST_SHARE)[:, None]
        return made, sums > 0


def _apart(means: Floats) -> Floats:
    made: Floats = np.abs(means - means[:1]).sum(axis=1)
    return made
