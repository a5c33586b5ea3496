"""Points of one check that should read alike, such as the two lines of a plug. PURE.

Both lines may lie in their band and yet be unlike: then one of them is loaded by
something that the other hasn't. That is outside what is usual, and proves nothing
by itself.
"""

from collections.abc import Collection

from diagnostics.engine.family import Check
from diagnostics.engine.reasons import reason
from diagnostics.engine.yardsticks import Verdict, Word

# What is typed in decimals differs by a little more than it shows.
DUST = 1e-9


def with_twins(
    check: Check, verdict: Verdict, value: float, twins: Collection[float]
) -> Verdict:
    """The verdict of a good reading, seen beside those of the check's other points.

    All in the unit of the check; ``twins`` are the newest of the same epoch.
    """
    if check.alike is None or verdict.word is not Word.GOOD:
        return verdict
    apart = max((abs(value - twin) for twin in twins), default=0.0)
    if apart <= check.alike + DUST:
        return verdict
    why = reason("unlike_its_twin", distance=apart, limit=check.alike, unit=check.unit)
    return Verdict(Word.WATCH, verdict.p_inside, (why, *verdict.reasons))
