"""What every check would show, in bins: predictive histograms by fault and board. PURE.

Kept only where a fault changes what is read; elsewhere it reads as a good board does.
"""

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr  # type: ignore[import-untyped]

from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.kernels import COLD, OHMS, Kernels

TWIN_EDGES = np.concatenate([[-1.0, -0.1], np.linspace(-0.03, 0.03, 21), [0.1, 1.0]])
TWIN_WIDTH = 0.0028  # of the difference of two readings on one meter


@dataclass(frozen=True)
class Histograms:
    """What a point would show, in bins: of good boards, and of the faults that
    change it; ``rows`` are the places of these faults in ``own``, else -1.

    ``own`` runs (faults that change it, bins, boards).
    """

    good: Floats
    own: Floats
    rows: np.typing.NDArray[np.intp]

    def of(self, faults: Floats, boards: Floats) -> Floats:
        """The predictive histogram of each of these faults, (faults, bins)."""
        rows = np.broadcast_to(self.good, (len(faults), len(self.good))).copy()
        places = self.rows[faults]
        is_own = places >= 0
        weights = boards[faults[is_own]].astype(np.float32)[:, :, None]
        rows[is_own] = np.matmul(self.own[places[is_own]], weights)[:, :, 0]
        return rows


def _kept(whole: Floats, touched: np.typing.NDArray[np.bool_]) -> Histograms:
    """Of (faults, bins, boards), what differs from a good board's."""
    is_own = touched.any(axis=1)
    rows = np.where(is_own, np.cumsum(is_own) - 1, -1)
    good = whole[0].mean(axis=1)
    own = np.where(touched[is_own][:, None, :], whole[is_own], good[None, :, None])
    return Histograms(good, own.astype(np.float32), rows)


def histograms_of(kernels: Kernels, missed: float) -> list[Histograms]:
    """Of every point in the order of the predictions, then of every answer."""
    points = range(len(kernels.predictions.points))
    return [
        _kept(_histogram(kernels, at, missed), kernels.touched[:, at]) for at in points
    ] + [
        _kept(_of_answers(one.chances, missed), one.touched)
        for one in kernels.answers.values()
    ]


def _histogram(kernels: Kernels, at: int, missed: float) -> Floats:
    """(faults, bins, boards): one bin more for OL; a missed contact in its bin."""
    mode = kernels.predictions.modes[at]
    is_ol = kernels.is_ol[:, at]
    centres = np.where(is_ol, 0.0, kernels.centres[:, at])
    edges = _edges(mode, centres[0])
    shares = _binned(edges, centres, kernels.widths[:, at])
    shares = np.where(is_ol[:, None, :], 0.0, shares)
    whole = np.concatenate([shares, is_ol[:, None, :]], axis=1)
    miss = np.zeros(whole.shape[1])
    miss[-1 if mode in COLD else np.searchsorted(edges, 0.0)] = 1.0
    made: Floats = (1 - missed) * whole + missed * miss[None, :, None]
    return made


def difference(kernels: Kernels, first: str, second: str) -> Floats:
    """Histograms of how far two readings lie apart, (faults, bins, boards)."""
    places = [kernels.place[one] for one in (first, second)]
    means = kernels.predictions.means
    apart = means[:, places[0]] - means[:, places[1]]
    blur = kernels.predictions.blurs[:, places[0]]
    return _binned(TWIN_EDGES, apart, np.hypot(TWIN_WIDTH, 0.7 * blur))


def _of_answers(chances: Floats, missed: float) -> Floats:
    made: Floats = (1 - missed) * chances + missed / chances.shape[1]
    return made


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
