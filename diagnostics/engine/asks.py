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
from scipy.special import ndtr  # type: ignore[import-untyped]

from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.weigh import COLD, OHMS, Kernels, Weighing

LEAST_SHARE = 1e-4
TWIN_EDGES = np.concatenate([[-1.0, -0.1], np.linspace(-0.03, 0.03, 21), [0.1, 1.0]])
TWIN_WIDTH = 0.0028  # of the difference of two readings on one meter


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
        self.kernels, self.points = kernels, kernels.predictions.points
        self.minutes = np.array([minutes(point) for point in self.points])
        every = range(len(self.points))
        self._histograms = [self._histogram(at, missed) for at in every]
        self._good = [one[0].mean(axis=1) for one in self._histograms]
        self._by_board = np.asarray(kernels.touched.any(axis=2))
        self._twins = [
            (kernels.place[a], kernels.place[b], self._difference(a, b))
            for a, b in twins
        ]

    def asks(self, weighing: Weighing, is_open: Callable[[str], bool]) -> list[Ask]:
        """Every open ask, the best for a minute first."""
        shares, _other, boards = weighing.posterior()
        likely = np.flatnonzero(shares > LEAST_SHARE)
        shares = shares[likely] / shares[likely].sum()
        open_at = [at for at, point in enumerate(self.points) if is_open(point)]
        found = {at: self._information(at, likely, shares, boards) for at in open_at}
        for first, second, histogram in self._twins:
            if first in found and second in found:
                both = self._of(histogram[likely], shares, boards[likely])
                minutes = self.minutes[first] + self.minutes[second]
                alone = found[first] / self.minutes[first]
                if both / minutes > alone:
                    found[first] = both * self.minutes[first] / minutes
        made = [
            Ask(self.points[at], told, told / float(self.minutes[at]))
            for at, told in found.items()
        ]
        return sorted(made, key=lambda one: (-one.rate, one.point))

    def _information(
        self, at: int, likely: Floats, shares: Floats, boards: Floats
    ) -> float:
        if not self._by_board[likely, at].any():
            return 0.0
        return _information(self._rows(at, likely, boards), shares)

    def _rows(self, at: int, faults: Floats, boards: Floats) -> Floats:
        """The predictive histogram of each of these faults at a point."""
        own = self._by_board[faults, at]
        rows = np.tile(self._good[at], (len(faults), 1))
        told = faults[own]
        rows[own] = np.einsum(
            "hbk,hk->hb", self._histograms[at][told], boards[told], optimize=True
        )
        return rows

    def apart(
        self,
        weighing: Weighing,
        one: Sequence[int],
        other: Sequence[int],
        is_open: Callable[[str], bool],
    ) -> float:
        """How well the best open check tells two groups of faults apart, 0 to 1."""
        shares, _else, boards = weighing.posterior()
        best = 0.0
        for at, point in enumerate(self.points):
            if not is_open(point):
                continue
            mine, theirs = (
                shares[group] @ self._rows(at, group, boards) / shares[group].sum()
                for group in (np.asarray(one), np.asarray(other))
            )
            best = max(best, 0.5 * float(np.abs(mine - theirs).sum()))
        return best

    def _of(self, histogram: Floats, shares: Floats, boards: Floats) -> float:
        rows = np.einsum("hbk,hk->hb", histogram, boards, optimize=True)
        return _information(rows, shares)

    # --- histograms

    def _histogram(self, at: int, missed: float) -> Floats:
        """(faults, bins, boards): one bin more for OL; a missed contact in its bin."""
        mode = self.kernels.predictions.modes[at]
        is_ol = self.kernels.is_ol[:, at]
        centres = np.where(is_ol, 0.0, self.kernels.centres[:, at])
        edges = _edges(mode, centres[0])
        shares = _binned(edges, centres, self.kernels.widths[:, at])
        shares = np.where(is_ol[:, None, :], 0.0, shares)
        whole = np.concatenate([shares, is_ol[:, None, :]], axis=1)
        untouched = ~self.kernels.touched[:, at]
        good = whole[0].mean(axis=1)
        whole = np.where(untouched[:, None, :], good[None, :, None], whole)
        miss = np.zeros(whole.shape[1])
        miss[-1 if mode in COLD else np.searchsorted(edges, 0.0)] = 1.0
        made: Floats = ((1 - missed) * whole + missed * miss[None, :, None]).astype(
            np.float32
        )
        return made

    def _difference(self, first: str, second: str) -> Floats:
        places = [self.kernels.place[one] for one in (first, second)]
        means = self.kernels.predictions.means
        apart = means[:, places[0]] - means[:, places[1]]
        blur = self.kernels.predictions.blurs[:, places[0]]
        return _binned(TWIN_EDGES, apart, np.hypot(TWIN_WIDTH, 0.7 * blur))


def _binned(edges: Floats, centres: Floats, widths: Floats) -> Floats:
    below = ndtr((edges[None, :, None] - centres[:, None, :]) / widths[:, None, :])
    ends = np.zeros((len(centres), 1, centres.shape[1]))
    made: Floats = np.diff(np.concatenate([ends, below, ends + 1], axis=1), axis=1)
    return made


def _edges(mode: str, good: Floats) -> Floats:
    """Bins of one mode: fractions of a decade in ohms, finest about the usual."""
    if mode in OHMS:
        return np.linspace(np.log(0.05), np.log(2e7), 24)
    if mode == "D":
        return np.concatenate(
            [[-1.0], np.linspace(0, 0.06, 7), np.linspace(0.1, 0.7, 12), [1.0, 1.5]]
        )
    if mode == "I":
        first = [0, 2e-3, 5e-3, 0.01, 0.02, 0.03, 0.05, 0.08, 0.12, 0.17, 0.22]
        return np.array([*first, 0.28, 0.35, 0.5, 0.7, 1.0, 1.5, 2.5, 4.0])
    usual = float(np.median(np.abs(good)))
    usual = usual if usual > 0.05 else 3.3
    about = 1 + 0.006 * np.array([-6, -4, -3, -2, -1, 0, 1, 2, 3, 5, 10])
    far = np.array([0.05, 0.15, 0.3, 0.5, 0.7, 0.85, 0.93]) * usual
    made = [
        *(-1.0, 0.01, 0.03, 0.06, 1.2 * usual + 0.06),
        *(far + 0.06),
        *(about * usual),
    ]
    return np.unique(made)


def _information(rows: Floats, shares: Floats) -> float:
    """Entropy of the mixture less the mean entropy of the rows, in nats."""
    told = _entropy(shares @ rows) - float(shares @ _entropies(rows))
    return max(0.0, told)


def _entropies(rows: Floats) -> Floats:
    made: Floats = -(rows * np.log(np.maximum(rows, 1e-12))).sum(axis=1)
    return made


def _entropy(row: Floats) -> float:
    return float(_entropies(row[None, :])[0])
