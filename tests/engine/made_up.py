"""Predictions made by hand, small enough to reckon with by hand."""

from collections.abc import Mapping, Sequence

import numpy as np

from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import NO_FAULT, Fault
from diagnostics.engine.circuit.predict import Predictions
from diagnostics.engine.histograms import Histograms
from diagnostics.engine.kernels import Kernels, kernels
from diagnostics.engine.weigh import Weighing

OL = float("nan")
Rows = Mapping[str, Sequence[float] | float]


def fault(name: str) -> Fault:
    """ "" is no fault; "cap.short" a part and its way of failing."""
    part, _dot, way = name.partition(".")
    return (part, way) if name else NO_FAULT


def made(
    points: Mapping[str, str], faults: Mapping[str, Rows], boards: int = 8
) -> Predictions:
    """``points`` by mode; ``faults`` with what they read where it isn't as good.

    The first of the faults is "", which must name every point. A number is what
    every board reads, a list one for each board.
    """
    means = np.array(
        [
            [_row({**faults[""], **rows}[p], boards) for p in points]
            for rows in faults.values()
        ]
    )
    is_ol = np.isnan(means)
    differs = np.where(is_ol | is_ol[:1], is_ol != is_ol[:1], means != means[:1])
    return Predictions(
        tuple(fault(name) for name in faults),
        tuple(points),
        tuple(points.values()),
        means,
        np.zeros_like(means),
        differs,
    )


def _row(values: Sequence[float] | float, boards: int) -> Floats:
    return np.broadcast_to(np.asarray(values, dtype=float), (boards,))


def even(count: int, healthy: float = 0.1) -> Floats:
    return np.append(healthy, np.full(count - 1, (1 - healthy) / (count - 1)))


def weighing(
    known: Kernels | Predictions, priors: Floats | None = None, missed: float = 0.02
) -> Weighing:
    if isinstance(known, Predictions):
        known = kernels(known)
    if priors is None:
        priors = even(len(known.predictions.faults))
    return Weighing(known, priors, missed)


def shares_of(one: Weighing) -> dict[str, float]:
    """Probability by fault, "" for none, "else" for something else."""
    shares, other, _boards = one.posterior()
    names = [".".join(f).strip(".") for f in one.kernels.predictions.faults]
    return {**dict(zip(names, shares.tolist(), strict=True)), "else": other}


def table_of(one: Histograms) -> Floats:
    """A check as the engine asks it, (faults, bins, boards), each a distribution."""
    bins, boards = len(one.good), one.own.shape[2]
    table = np.broadcast_to(one.good[None, :, None], (len(one.rows), bins, boards))
    table = table.astype(float)
    table[one.rows >= 0] = one.own[one.rows[one.rows >= 0]]
    made: Floats = table / table.sum(axis=1, keepdims=True)
    return made
