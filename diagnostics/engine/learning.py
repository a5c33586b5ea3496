"""What a shop's own boards of a model teach: which faults it has, what is usual. PURE.

*Faults.* Three Dirichlet priors, one inside another: whether anything is at fault at
all, in which block, and what in it; each begins at the family's shares, twenty boards'
worth a block, so the first two at as many times that as there are blocks, and takes
one count for each proven finding. Counts alone go in, so it
does not matter in which order tickets were closed, and all is reckoned anew from them.

*Usual readings.* Readings of good boards of the model narrow what the family leaves
open of its design: their predictive band (bands.py), the family's cloud being the
prior, takes the place of the cloud by their number.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from diagnostics.engine.bands import (
    JUNCTION_SHARE,
    OHMS_LOG_SD,
    SHARES,
    Z_95,
    Good,
    Prior,
    Span,
    band_of,
)
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import Fault, split
from diagnostics.engine.kernels import (
    COUNTS,
    LEAD_SPREAD,
    METER_AMPS_SHARE,
    METER_LIVE_SHARE,
    METER_SHARE,
    OHMS,
    Kernels,
    Usual,
    scaled,
)

STRENGTH = 20.0  # boards' worth of a block's shares (domain brief, section 3; jd)
# Half believed, as the family's own weights are (priors.py): a model's favourite fault
# is no reason to leave out the check that tells it from its like. The more it has
# shown itself, the more it is believed.
HALF = 0.5
# So many boards' worth is the doubt that the next one is of the same design at all,
# reworked or of another revision (judgement): after three boards a quarter is left.
DOUBT = 1.0
UNITS = {"R": "ohm", "C": "ohm", "D": "V", "V": "V", "I": "A"}
ODD_SHARE = 0.5  # where more of the family's good boards read OL, nothing is usual


# --- faults -------------------------------------------------------------------------


def counts_of(
    faults: Sequence[Fault], prior: Floats, findings: Iterable[tuple[str, str]]
) -> Floats:
    """Counts by fault from proven findings, each a part and its way of failing.

    ``("", "")`` is a board that nothing was wrong with. A finding that doesn't say
    its way, or whose place is unknown, is shared out over the rows it may be, by the
    prior. What the family doesn't know counts for nothing.
    """
    counts = np.zeros(len(faults))
    keys = [split(fault)[:2] for fault in faults]
    for (part, way), times in Counter(findings).items():
        rows = [n for n, (p, w) in enumerate(keys) if p == part and way in {"", w}]
        if rows and prior[rows].sum() > 0:
            counts[rows] += times * prior[rows] / prior[rows].sum()
    return counts


def learned_priors(prior: Floats, blocks: Sequence[str], counts: Floats) -> Floats:
    """The family's prior with the shop's counts in it.

    ``prior`` and ``counts`` begin with no fault; ``blocks`` are those of the other
    rows. Without counts it is the prior itself.
    """
    share = shop_share(float(counts.sum()), len(set(blocks)))
    believed = HALF + (1 - HALF) * share
    return believed * counted(prior, blocks, counts) + (1 - believed) * prior


def counted(
    prior: Floats, blocks: Sequence[str], counts: Floats, strength: float = STRENGTH
) -> Floats:
    """The means of the three Dirichlet distributions after the counts, multiplied."""
    places = {block: n for n, block in enumerate(dict.fromkeys(blocks))}
    whole = strength * len(places)
    made = np.empty_like(prior)
    made[0] = (whole * prior[0] + counts[0]) / (whole + counts.sum())
    faulty, found = prior[1:] / prior[1:].sum(), counts[1:]
    at = np.array([places[block] for block in blocks])
    shares, sums = np.bincount(at, faulty), np.bincount(at, found)
    of_block = (whole * shares + sums) / (whole + sums.sum())
    inside = (strength * faulty / shares[at] + found) / (strength + sums[at])
    made[1:] = (1 - made[0]) * of_block[at] * inside
    return made


def shop_share(findings: float, blocks: int, strength: float = STRENGTH) -> float:
    """How much of what is believed beforehand is this shop's own, 0 to 1."""
    return findings / (findings + strength * blocks)


# --- usual readings ------------------------------------------------------------------


def usual_of(known: Kernels, goods: Mapping[str, Sequence[float]]) -> dict[int, Usual]:
    """What is usual at each point, from readings of good boards of one model, SI, one
    of each board. Points whose family reads OL on most boards are left out.
    """
    found = {}
    for point, values in goods.items():
        at = known.place[point]
        if values and known.is_ol[0, at].mean() <= ODD_SHARE:
            found[at] = _usual(known, at, values)
    return found


def _usual(known: Kernels, at: int, values: Sequence[float]) -> Usual:
    mode = known.predictions.modes[at]
    cloud = known.centres[0, at][~known.is_ol[0, at]]
    goods = [Good(n, one, _error(mode, one)) for n, one in enumerate(values)]
    band = band_of(goods, UNITS[mode], _prior(mode, cloud))
    assert band is not None
    low, high = _ends(mode, band.predictive)
    count = len(values)
    return Usual(
        centre=(low + high) / 2,
        width=(high - low) / (2 * Z_95),
        weight=count / (count + DOUBT),
    )


def _prior(mode: str, cloud: Floats) -> Prior:
    """The family's cloud as what is believed of a model before its first board."""
    mean, spread = float(cloud.mean()), float(cloud.std())
    inside = OHMS_LOG_SD if mode in OHMS else _share(mode) * abs(mean)
    least = float(np.hypot(inside, 1e-6))
    spread = max(spread, least / 10)
    sd = min(least, spread / np.sqrt(2))
    return Prior(mean, sd, sd**2 / (spread**2 - sd**2))


def _share(mode: str) -> float:
    return JUNCTION_SHARE if mode == "D" else SHARES[UNITS[mode]]


def _error(mode: str, value: float) -> float:
    """Standard uncertainty of a handheld, in the unit."""
    if mode in OHMS:
        return float(np.hypot(METER_SHARE * value, LEAD_SPREAD))
    shares = {"V": METER_LIVE_SHARE, "I": METER_AMPS_SHARE, "D": 0.0}
    return float(np.hypot(COUNTS[mode], shares[mode] * value))


def _ends(mode: str, span: Span) -> tuple[float, float]:
    """Both ends on the kernels' scale."""
    low, high = scaled(mode, np.array([span.low, span.high])).tolist()
    return low, high
