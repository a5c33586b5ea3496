"""From probabilities of faults to a ranked list of parts, and how sure it is. PURE.

The ways of failing of a part add up. Parts that no open check can tell apart count
as one when it is said how sure the name is: found from the predictions on the
boards still likely, anew at each step, never from a list.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from diagnostics.engine.asks import Asker
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.parts import Fault
from diagnostics.engine.weigh import Weighing

# Two parts are alike where no open check's histograms differ by more (judgement).
TOLD_APART = 0.1
WORTH_A_LOOK = 0.005


@dataclass(frozen=True)
class Name:
    """A part ("" for no fault) and the probability that it is at fault."""

    part: str
    probability: float


def names(faults: Sequence[Fault], shares: Floats) -> list[Name]:
    """Parts by probability, likeliest first."""
    sums: dict[str, float] = {}
    for (part, _way), share in zip(faults, shares, strict=True):
        sums[part] = sums.get(part, 0.0) + float(share)
    made = [Name(part, probability) for part, probability in sums.items()]
    return sorted(made, key=lambda one: (-one.probability, one.part))


def confidence(
    asker: Asker, weighing: Weighing, is_open: Callable[[str], bool]
) -> float:
    """That the first name, or a part that no open check tells from it, is right."""
    faults = asker.kernels.predictions.faults
    shares, _else, _boards = weighing.posterior()
    ranked = names(faults, shares)
    of_part = {
        name.part: [n for n, (part, _way) in enumerate(faults) if part == name.part]
        for name in ranked
    }
    first = ranked[0]
    alike = [
        name.probability
        for name in ranked[1:]
        if name.probability > WORTH_A_LOOK
        and asker.apart(weighing, of_part[first.part], of_part[name.part], is_open)
        < TOLD_APART
    ]
    return first.probability + sum(alike)
