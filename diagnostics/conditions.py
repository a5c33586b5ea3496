"""How the board stands now, and what to ask before a check that needs it otherwise.

The condition is known from what was last said or read in this epoch: something done
to the board ends it, since the board was unpowered to be worked on. A board that has
only just come in is taken to be unpowered. What was said carries to the readings
taken in it, so that supply and limit are typed once.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from diagnostics.bridge import Known, moment_of
from diagnostics.calculator_facts import POWER, Facts
from diagnostics.engine.boards import POWERED
from diagnostics.engine.family import Check
from diagnostics.models import ConditionSet, Reading, ReadingSource

UNPOWERED, INJECTION = "U", "J"
SUPPLIED = POWERED | {INJECTION}
FIRST_AMPS = 0.5  # the limit at which first power is applied (jd, check k24)

Fact = ConditionSet | Reading
Figures = tuple[float, float | None]


@dataclass(frozen=True)
class Now:
    """The board as it stands; ``condition`` is empty where nobody knows.

    ``is_said``: somebody set it so, and what is read in it was taken as was said.
    """

    condition: str
    fitted: tuple[str, ...] = ()
    supply_volts: float | None = None
    supply_limit_amps: float | None = None
    is_said: bool = False
    is_as_it_came: bool = False


@dataclass(frozen=True)
class Supply:
    """What the supply is to be set to, and whose figures these are (a code)."""

    volts: float | None
    limit_amps: float | None
    source: str


def now_of(known: Known) -> Now:
    facts = [one for one in facts_of(known) if one.epoch == known.epoch]
    if not facts:
        is_untouched = known.epoch == known.back_since
        condition = UNPOWERED if is_untouched else ""
        return Now(condition, is_as_it_came=is_untouched)
    newest = facts[-1]
    return Now(
        newest.condition,
        tuple(newest.fitted),
        newest.supply_volts,
        newest.supply_limit_amps,
        is_said=_is_said(facts),
    )


def facts_of(known: Known) -> list[Fact]:
    """All that tells the board's condition, in the order in which it happened.

    What another repairer told is of another bench.
    """
    ours = [
        one
        for one in known.readings
        if one.condition and one.source == ReadingSource.OURS
    ]
    return sorted([*ours, *known.conditions], key=moment_of)


def _is_said(facts: list[Fact]) -> bool:
    """Whether the newest condition was said, and only read in since."""
    for one in reversed(facts):
        if one.condition != facts[-1].condition:
            return False
        if isinstance(one, ConditionSet):
            return True
    return False


def carried(known: Known, condition: str) -> Now | None:
    """What holds for a reading in this condition unless it says otherwise."""
    now = now_of(known)
    return now if now.is_said and now.condition == condition else None


def is_asked(known: Known, check: Check) -> bool:
    """Whether the board has to be changed before this check."""
    return check.condition not in {"", now_of(known).condition}


# --- what the fields are filled with ------------------------------------------------


def supply_for(
    known: Known, condition: str, of_model: Callable[[], Figures | None]
) -> Supply | None:
    """As last on this board, else on its model, else the adapter's rating.

    ``None`` where the condition takes no supply, or none can be set. ``of_model``
    looks the model up, and is asked only where the board itself has none.
    """
    if condition not in SUPPLIED or not takes_bench_supply(known, condition):
        return None
    last = next(_supplies(known, condition), None)
    if last is not None:
        return Supply(*last, "board")
    if condition == INJECTION:
        return Supply(None, None, "")
    if (others := of_model()) is not None:
        return Supply(*others, "model")
    return Supply(Facts(known, "").input_volts, FIRST_AMPS, "rating")


def takes_bench_supply(known: Known, condition: str) -> bool:
    """A board with a power supply of its own has nothing to be set."""
    return condition == INJECTION or POWER in known.board.checks


def _supplies(known: Known, condition: str) -> Iterator[Figures]:
    for one in reversed(facts_of(known)):
        is_alike = (one.condition == INJECTION) == (condition == INJECTION)
        if one.supply_volts is not None and is_alike:
            yield one.supply_volts, one.supply_limit_amps
