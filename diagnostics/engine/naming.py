"""From probabilities of faults to a ranked list of parts, and how sure it is. PURE.

The ways of failing of a part add up. Parts that no open check can tell apart count
as one when it is said how sure the name is: found from the predictions on the
boards still likely, anew at each step, never from a list.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from diagnostics.engine.asks import Asker, Outlook
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
    outlook = asker.outlook(weighing, is_open)
    alike = alike_with(ranked[0], ranked, faults, outlook)
    return ranked[0].probability + sum(one.probability for one in alike)


def alike_with(
    first: Name, ranked: Sequence[Name], faults: Sequence[Fault], outlook: Outlook
) -> list[Name]:
    """The other parts worth a look that no open check tells from this one."""
    rows: dict[str, list[int]] = {}
    for number, (part, _way) in enumerate(faults):
        rows.setdefault(part, []).append(number)
    others = [
        one
        for one in ranked
        if one.part != first.part and one.probability > WORTH_A_LOOK
    ]
    groups = [rows[first.part], *(rows[one.part] for one in others)]
    apart = outlook.apart(groups)[1:].tolist()
    return [one for one, far in zip(others, apart, strict=True) if far < TOLD_APART]
