"""What is believed of each fault before the meter speaks. PURE.

The family's or the model's prior, times what is seen, done and said. All factors are
judgement: how many times likelier a part is at fault once that is known of it.
"""

from collections.abc import Mapping, Sequence
from math import prod

import numpy as np

from diagnostics.engine.assessment import Key
from diagnostics.engine.boards import Board
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import Fault, split
from diagnostics.engine.evidence import Done, Evidence, Seen, Sight

# A part just renewed is seldom the fault again; that it was the fault and is cured
# is what the readings before and after say.
RENEWED = 0.1
# Renewed and the fault stays: so often it is something that no family knows of.
LOOKS_ALIKE = 0.2
RENEWING = frozenset({"removed", "fitted", "replaced", "swapped", "rewritten"})
SIGHTS: Mapping[str, float] = {
    "burnt": 30.0,
    "cracked": 20.0,
    "missing": 50.0,
    "hot": 10.0,
    "corroded": 8.0,
    "flux": 2.0,
}
AT_ITS_RAIL = 0.5  # share of the factor, on its logarithm, for parts of that rail
ADDED = 5.0


def believed(
    board: Board, faults: Sequence[Fault], before: Floats, evidence: Evidence
) -> Floats:
    """The prior of each fault with all that is known beside readings; adds up to 1."""
    told = _as_told(board, evidence.seen)
    factors = [_factor(board, fault, evidence, told) for fault in faults]
    weighed = before * np.array(factors)
    made: Floats = weighed / weighed.sum()
    return made


def looking_alike(faults: Sequence[Fault], evidence: Evidence) -> Floats:
    """How much likelier than each fault something unknown is that shows the same:
    of a part that was renewed it is twice as likely, else it isn't thought of."""
    renewed = [_renewed(part, evidence.done) < 1 for part, _way in faults]
    return np.where(renewed, LOOKS_ALIKE / RENEWED, 0.0)


def _factor(
    board: Board, fault: Fault, evidence: Evidence, told: Mapping[str, float]
) -> float:
    part, mode, place = split(fault)
    if not part:
        return 1.0
    if (part, mode) in evidence.struck or not _is_fitted(board, part, place):
        return 0.0
    seen = prod(_of_sight(board, (part, mode), place, one) for one in evidence.sights)
    said = ADDED if (part, mode) in evidence.added else 1.0
    as_told = told.get(board.parts[part].block, 1.0)
    return seen * said * as_told * _renewed(part, evidence.done)


def _is_fitted(board: Board, part: str, place: str) -> bool:
    return board.is_fitted(part) and (not place or board.is_fitted(place))


def _renewed(part: str, done: Sequence[Done]) -> float:
    is_new = any(act.part_id == part and act.kind in RENEWING for act in done)
    return RENEWED if is_new else 1.0


def _of_sight(board: Board, key: Key, place: str, sight: Sight) -> float:
    factor = SIGHTS.get(sight.kind, 1.0)
    if sight.part_id:
        return factor if sight.part_id == key[0] else 1.0
    mode = next(mode for mode in board.parts[key[0]].modes if mode.id == key[1])
    nets = {place} if place else set(mode.touches)
    return float(factor**AT_ITS_RAIL) if sight.rail in nets else 1.0


def _as_told(board: Board, seen: Sequence[Seen]) -> dict[str, float]:
    """How the fault as told speaks for each block."""
    found: dict[str, float] = {}
    for one in seen:
        check = board.check(board.point(one.point_id).check)
        for block, factor in check.blames.get(one.answer, {}).items():
            found[block] = found.get(block, 1.0) * factor
    return found
