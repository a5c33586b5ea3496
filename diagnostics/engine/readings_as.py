"""How a state of the board reads: the chance of each class of reading. PURE.

Every reading falls into one of a few classes of its kind. The chances are
judgement (jd), the same for every part; each is mixed with a missed contact.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from diagnostics.engine import rungs
from diagnostics.engine.boards import Board
from diagnostics.engine.family import Ohms, Point
from diagnostics.engine.quantities import Outcome
from diagnostics.engine.spread import Spread
from diagnostics.engine.yardsticks import Yardstick

MISSED_CONTACT = 0.02
NOTHING_SHARE = 0.15

Chances = Mapping[str, float]

OHMS: Mapping[str, Chances] = {
    "ok": {"ok": 0.93, "between": 0.05, "low": 0.015, "short": 0.005},
    "leaky": {"ok": 0.10, "between": 0.35, "low": 0.45, "short": 0.10},
    "short": {"ok": 0.01, "between": 0.02, "low": 0.07, "short": 0.90},
}
VOLTS: Mapping[str, Chances] = {
    "up": {"inside": 0.92, "low": 0.04, "high": 0.02, "none": 0.02},
    "gone": {"inside": 0.03, "low": 0.11, "high": 0.01, "none": 0.85},
    "low": {"inside": 0.15, "low": 0.75, "high": 0.02, "none": 0.08},
    "high": {"inside": 0.15, "low": 0.03, "high": 0.80, "none": 0.02},
    "ripple": {"inside": 0.80, "low": 0.15, "high": 0.03, "none": 0.02},
    "weak": {"inside": 0.50, "low": 0.40, "high": 0.01, "none": 0.09},
    "unsure": {"inside": 0.25, "low": 0.25, "high": 0.25, "none": 0.25},
}
DIODE: Mapping[str, Chances] = {
    "ok": {"inside": 0.88, "collapsed": 0.02, "above": 0.10},
    "leaky": {"inside": 0.45, "collapsed": 0.50, "above": 0.05},
    "short": {"inside": 0.05, "collapsed": 0.93, "above": 0.02},
    "joined": {"inside": 0.25, "collapsed": 0.70, "above": 0.05},
}
ACROSS: Mapping[str, Chances] = {
    "apart": {"as_it_should": 0.97, "joined": 0.03},
    "open": {"as_it_should": 0.97, "joined": 0.03},
    "joined": {"as_it_should": 0.05, "joined": 0.95},
}
THROUGH: Mapping[str, Chances] = {
    "apart": {"closed": 0.96, "open": 0.04},
    "joined": {"closed": 0.96, "open": 0.04},
    "open": {"closed": 0.05, "open": 0.95},
}
AMPERES: Mapping[str, Chances] = {
    **VOLTS,
    "gone": {"inside": 0.07, "low": 0.50, "high": 0.03, "none": 0.40},
    "short": {"inside": 0.15, "low": 0.25, "high": 0.50, "none": 0.10},
}
ANSWER: Mapping[str, Chances] = {
    **{state: {"good": 0.80, "other": 0.20} for state in VOLTS},
    "up": {"good": 0.93, "other": 0.07},
    "gone": {"good": 0.10, "other": 0.90},
}
KINDS = {
    "ohms": OHMS,
    "volts": VOLTS,
    "diode": DIODE,
    "across": ACROSS,
    "through": THROUGH,
    "amperes": AMPERES,
    "answer": ANSWER,
}
# What a probe without contact mostly shows: OL in ohms and diode, 0 V in volts.
MISSES: Mapping[str, Chances] = {
    "ohms": {"ok": 0.85, "between": 0.05, "low": 0.05, "short": 0.05},
    "volts": {"inside": 0.05, "low": 0.10, "high": 0.05, "none": 0.80},
    "diode": {"inside": 0.10, "collapsed": 0.10, "above": 0.80},
    "across": {"as_it_should": 0.9, "joined": 0.1},
    "through": {"closed": 0.1, "open": 0.9},
    "amperes": {"inside": 0.05, "low": 0.10, "high": 0.05, "none": 0.80},
    "answer": {"good": 0.2, "other": 0.8},
}


@dataclass(frozen=True)
class Seen:
    """A standing reading as the ranking sees it; ``value`` SI, net of leads.

    ``is_usual`` says whether good boards of the model read so, where any were read.
    """

    point_id: str
    word: str
    outcome: Outcome
    value: float | None = None
    epoch: int = 0
    condition: str = ""
    is_usual: bool | None = None
    fitted: frozenset[str] = frozenset()


# --- what was seen --------------------------------------------------------------


def kind_of(board: Board, point: Point) -> str | None:
    """How a reading there speaks of rails, or ``None`` where it says nothing."""
    check = board.check(point.check)
    if point.pair is not None:
        return "across" if check.by_arithmetic else "through"
    half = rungs.half_of(board, point.id)
    if half is not None:
        return {rungs.COLD: "ohms", rungs.LIVE: "volts"}[half]
    if check.mode == "D" and point.rail is not None:
        return "diode"
    if point.signal is None:
        return None
    if check.categories:
        return "answer"
    return "amperes" if check.mode == "I" else "volts"


def class_of(board: Board, seen: Seen) -> str | None:
    """The class of a reading, or ``None`` where it is no evidence."""
    point = board.point(seen.point_id)
    kind = kind_of(board, point)
    if kind is None:
        return None
    if kind == "across":
        return {"good": "as_it_should", "bad": "joined"}.get(seen.word)
    if kind == "answer" or seen.outcome is Outcome.CATEGORY:
        return _of_answer(kind, seen)
    if seen.outcome is Outcome.OVER_LIMIT:
        return {"ohms": "ok", "diode": "above", "through": "open"}.get(kind)
    if seen.value is None:
        return None
    return _of_value(board, point, kind, seen)


def _of_answer(kind: str, seen: Seen) -> str | None:
    if kind != "answer" or seen.outcome is not Outcome.CATEGORY:
        return None
    return "good" if seen.word == "good" else "other"


USUAL = {"ohms": "ok", "volts": "inside", "diode": "inside"}


def _of_value(board: Board, point: Point, kind: str, seen: Seen) -> str | None:
    """What this model's good boards read is as it should be, whatever its size."""
    found = _by_family(board, point, kind, seen)
    if seen.is_usual is None or found is None or kind not in USUAL:
        return found
    if seen.is_usual:
        return USUAL[kind]
    return "between" if found == "ok" else found


def _by_family(board: Board, point: Point, kind: str, seen: Seen) -> str | None:
    value = seen.value or 0.0
    if kind == "ohms":
        ohms = board.rail(point.rail or "").ohms_in(seen.fitted)
        return ohms_class(value, ohms) if ohms else None
    yardstick = board.yardstick(point.id, condition=seen.condition, fitted=seen.fitted)
    if yardstick is None or _is_rightly_off(yardstick, value, seen.fitted):
        return None
    low = _first(yardstick.limit_low, yardstick.usual_low)
    high = _first(yardstick.limit_high, yardstick.usual_high)
    if kind == "through":
        return "open" if high is not None and value > high else "closed"
    if kind == "diode":
        return _diode_class(value, low or 0.0, high or 0.0)
    return _span_class(value, low, high)


def _is_rightly_off(yardstick: Yardstick, value: float, fitted: frozenset[str]) -> bool:
    """No volts that speak of no fault: nothing commands them, or none need be."""
    may_be = yardstick.may_be_absent and rungs.is_nothing(value)
    return may_be or not fitted.issuperset(yardstick.only_with)


def ohms_class(value: float, ohms: Ohms) -> str:
    if value < ohms.short_below:
        return "short"
    if value < ohms.watch_below:
        return "low"
    return "between" if value < ohms.ok_from else "ok"


def _diode_class(value: float, low: float, high: float) -> str:
    if value < low / 2:
        return "collapsed"
    return "above" if value > high else "inside"


def _span_class(value: float, low: float | None, high: float | None) -> str:
    """Volts and the like against a span; a negative span counts by its size."""
    if low is not None and high is not None and high < 0:
        value, low, high = -value, -high, -low
    if low is not None and low > 0 and value <= NOTHING_SHARE * low:
        return "none"
    if low is not None and value < low:
        return "low"
    return "high" if high is not None and value > high else "inside"


def _first(*values: float | None) -> float | None:
    return next((value for value in values if value is not None), None)


# --- what a state should read ---------------------------------------------------


def state_at(spread: Spread, point: Point, kind: str) -> str:
    """The state of the board that a reading at this point would show."""
    if point.pair is not None:
        return spread.across(point.pair)
    if kind in {"ohms", "diode"}:
        return spread.cold(point.rail or "")
    state = spread.live(point.rail or point.signal or "")
    if state == "gone" and kind == "volts":
        state = _at_rest(spread, point)
    is_drawing = spread.fault.effect in {"short", "bridge"}
    return "short" if kind == "amperes" and is_drawing and state == "gone" else state


# What a line at rest counts as, by the class of the volts that it rests at.
RESTING = {"high": "high", "low": "low", "inside": "up", "none": "gone"}


def _at_rest(spread: Spread, point: Point) -> str:
    """A line that says no: nothing there, or what it rests at."""
    signal = spread.board.signals.get(point.signal or "")
    yardstick = spread.board.yardstick(point.id)
    if signal is None or signal.rests_at is None or yardstick is None:
        return "gone"
    if any(spread.live(need) == "gone" for need in signal.needs[:1]):
        return "gone"
    low = _first(yardstick.limit_low, yardstick.usual_low)
    high = _first(yardstick.limit_high, yardstick.usual_high)
    return RESTING[_span_class(signal.rests_at, low, high)]


def chance(spread: Spread, point: Point, kind: str, seen_class: str) -> float:
    """P(class | fault), missed contact included."""
    state = state_at(spread, point, kind)
    if kind == "ohms" and state == "joined":
        told = _joined(spread)[seen_class]
    else:
        told = KINDS[kind][state][seen_class]
    missed = MISSES[kind][seen_class]
    return (1 - MISSED_CONTACT) * told + MISSED_CONTACT * missed


def _joined(spread: Spread) -> Chances:
    """Main bridged to a rail reads about as the rail does."""
    main, rail = spread.fault.bridge or ("", "")
    of_main, of_rail = spread.board.rail(main).ohms, spread.board.rail(rail).ohms
    if of_main is None or of_rail is None:
        return OHMS["leaky"]
    likely = ohms_class(1.5 * of_rail.ok_from, of_main)
    return {name: 0.7 if name == likely else 0.1 for name in OHMS["ok"]}


def classes(kind: str) -> int:
    """How many classes a kind of reading has."""
    return len(MISSES[kind])
