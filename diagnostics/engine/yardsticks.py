"""A reading, what it is held against, and the verdict's shape. PURE."""

from dataclasses import dataclass
from enum import StrEnum
from math import hypot, inf, sqrt

from diagnostics.engine.quantities import Outcome
from diagnostics.engine.reasons import Reason
from diagnostics.engine.units import PHYSICAL

BOARDS_FOR_A_BAND = 3
# A supply that shows less is off, or holds its limit (judgement).
NO_VOLTS = 0.1
FOLDED_BELOW = 0.9
NEVER_BELOW_NOUGHT = frozenset(unit for unit, (low, _) in PHYSICAL.items() if low == 0)


class Word(StrEnum):
    GOOD = "good"
    WATCH = "watch"
    BAD = "bad"
    UNCLEAR = "unclear"


class Settle(StrEnum):
    """What would settle an unclear verdict."""

    COMPARE_GOOD_BOARD = "compare_good_board"
    FINER_METER = "finer_meter"
    FOUR_WIRE = "four_wire"
    HIGHER_RANGE = "higher_range"
    LOOK_AGAIN = "look_again"
    MARK_NOT_FITTED = "mark_not_fitted"
    MEASURE_LEADS = "measure_leads"
    MORE_DIGITS = "more_digits"
    OTHER_POINT = "other_point"
    PUT_IN = "put_in"
    SUPPLY_ON = "supply_on"
    SWAP_PROBES = "swap_probes"
    TAKE_OUT = "take_out"
    TAP_AT_LIMIT = "tap_at_limit"
    TOUCH_AGAIN = "touch_again"
    WAIT_SETTLED = "wait_settled"


@dataclass(frozen=True)
class Yardstick:
    """What a reading is held against, in SI.

    Either side of a range may be open (``None``). ``usual_count`` is the number
    of this model's boards behind the usual range, 0 for the family's. In ohms
    ``limit_low`` is where a short begins, ``watch_low`` is the family's "watch
    below" and ``ok_from`` its "ok from", which ``usual_low`` stands for while
    the usual range is the family's. ``polarity`` is how the range was taken, and
    ``without`` what was out of the board besides adapter and pack. Without all of
    ``only_with`` in the board, or where it ``may_be_absent``, no volts are no fault.
    """

    unit: str
    limit_low: float | None = None
    limit_high: float | None = None
    limit_source: str = ""
    limit_is_hard: bool = True
    usual_low: float | None = None
    usual_high: float | None = None
    usual_source: str = ""
    usual_count: int = 0
    watch_low: float | None = None
    needs_four_wire: bool = False
    polarity: str = ""
    ok_from: float | None = None
    ol_is_usual: bool = False
    is_of_leads: bool = False
    without: tuple[str, ...] = ()
    only_with: tuple[str, ...] = ()
    may_be_absent: bool = False

    @property
    def low(self) -> float | None:
        """The lower limit; nought is none where nothing can lie below it."""
        if self.unit in NEVER_BELOW_NOUGHT and (self.limit_low or 0.0) <= 0:
            return None
        return self.limit_low

    @property
    def has_low(self) -> bool:
        """Is there a side below which a reading would be anything but good?"""
        usual = self.usual_low or 0.0
        return self.low is not None or self.watch_low is not None or usual > 0

    @property
    def has_limit(self) -> bool:
        return self.low is not None or self.limit_high is not None

    @property
    def has_usual(self) -> bool:
        return self.usual_low is not None or self.usual_high is not None

    @property
    def is_of_this_model(self) -> bool:
        return self.has_usual and self.usual_count >= BOARDS_FOR_A_BAND

    @property
    def good_from(self) -> float | None:
        """The family's "ok from"."""
        if self.ok_from is not None or self.is_of_this_model:
            return self.ok_from
        return self.usual_low

    def contains_usual(self, value: float) -> bool:
        low = -inf if self.usual_low is None else self.usual_low
        high = inf if self.usual_high is None else self.usual_high
        return low <= value <= high


@dataclass(frozen=True)
class Supply:
    """The bench supply while a current was read: set and shown volts.

    ``None`` where nobody typed it.
    """

    set_volts: float | None = None
    actual_volts: float | None = None

    @property
    def is_off(self) -> bool:
        return self.actual_volts is not None and self.actual_volts <= NO_VOLTS

    @property
    def is_folded_back(self) -> bool:
        """Held under the set volts by its current limit."""
        if self.set_volts is None or self.actual_volts is None:
            return False
        return self.actual_volts < FOLDED_BELOW * self.set_volts


@dataclass(frozen=True)
class Observed:
    """A reading as the verdict sees it: SI value, standard uncertainty, how taken.

    ``lead_ohms`` is ``None`` where nobody measured the leads; ``lead_spread`` is
    how much they vary from one touch to the next. ``fitted`` is what was in the
    board: adapter, pack, modules, cpu, coin_cell.
    """

    outcome: Outcome
    value: float | None = None
    u: float = 0.0
    mode: str = ""
    polarity: str = ""
    four_wire: bool = False
    lead_ohms: float | None = None
    category: str = ""
    lead_spread: float = 0.0
    fitted: frozenset[str] = frozenset()
    supply: Supply = Supply()

    @property
    def has_leads(self) -> bool:
        """Are the leads' own ohms part of the value?"""
        return self.mode in {"R", "C"} and not self.four_wire

    @property
    def net(self) -> float:
        """The value less the leads, where they are part of it."""
        if self.value is None:
            raise ValueError("only a value has a net value")
        leads = self.lead_ohms if self.has_leads else None
        return self.value if leads is None else max(0.0, self.value - leads)

    @property
    def u_net(self) -> float:
        """Standard uncertainty of the net value: the meter's and the leads' own.

        The leads' spread is a bound, hence rectangular (JCGM 100:2008, 4.3.7).
        """
        spread = self.lead_spread if self.has_leads else 0.0
        return hypot(self.u, spread / sqrt(3))

    @property
    def half_width(self) -> float:
        """The meter's stated bound, of which ``u`` is the standard uncertainty."""
        return sqrt(3) * self.u


@dataclass(frozen=True)
class Verdict:
    """A word, the probability of conformity where a limit decided, and why.

    ``settle`` are codes of what would settle an unclear verdict.
    """

    word: Word
    p_inside: float | None
    reasons: tuple[Reason, ...]
    settle: tuple[str, ...] = ()
