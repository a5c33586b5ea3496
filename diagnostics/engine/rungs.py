"""The rung of a rail on the power ladder, from its newest verdict words. PURE.

A rung takes the newest powered reading. A cold reading that is bad makes it down
("down, shorted"); a cold reading that is good leaves it unread ("unread, cold
good"), because resistance does not prove a voltage. A rail that may rightly be
off in the present condition and is off is resting. The rung's word never says
anything else than the verdicts under it:

    live        bad -> down     watch -> odd     good -> up     unclear -> unread
    cold bad    -> down, whatever the live half says
"""

from collections.abc import Iterable
from dataclasses import dataclass

from diagnostics.engine.boards import Board
from diagnostics.engine.family import POWERED, STATE_OF
from diagnostics.engine.verdicts import Word

NOTHING_VOLTS = 0.1
COLD, LIVE = "cold", "live"
_OF_LIVE = {"bad": "down", "watch": "odd", "good": "up", "unclear": "unread"}
_WORST_FIRST = (Word.BAD, Word.WATCH, Word.UNCLEAR, Word.GOOD)


@dataclass(frozen=True)
class Rung:
    """One rung: its two halves' words, its own word and a note's code or ""."""

    rail: str
    cold: str | None
    live: str | None
    word: str
    note: str


def rung(
    board: Board,
    rail_id: str,
    *,
    cold: str | None = None,
    live: str | None = None,
    live_volts: float | None = None,
    in_condition: str = "",
) -> Rung:
    """The rung of a rail.

    ``cold`` and ``live`` are verdict words of its newest ohms and volts,
    ``live_volts`` the newest volts, ``in_condition`` the board's condition now.
    """
    if not board.is_fitted(rail_id):
        return Rung(rail_id, cold, live, "not_fitted", "")
    if cold == Word.BAD:
        note = "rung_shorted" if live != Word.GOOD else "rung_shorted_yet_up"
        return Rung(rail_id, cold, live, "down", note)
    is_resting = may_rest(board, rail_id, in_condition) and is_nothing(live_volts)
    if is_resting and live in {None, Word.UNCLEAR}:
        return Rung(rail_id, cold, live, "resting", "rung_resting")
    if live is not None:
        return Rung(rail_id, cold, live, _OF_LIVE[live], _live_note(live, live_volts))
    return Rung(rail_id, cold, live, "unread", f"rung_cold_{cold}" if cold else "")


def _live_note(live: str, volts: float | None) -> str:
    if live == Word.UNCLEAR:
        return "rung_live_unclear"
    return "rung_no_volts" if live == Word.WATCH and is_nothing(volts) else ""


def may_rest(board: Board, rail_id: str, condition: str) -> bool:
    """Is the rail rightly off in this condition's power state?"""
    state = STATE_OF.get(condition)
    is_powered = condition in POWERED
    return is_powered and state not in board.rail(rail_id).up_in


def is_nothing(volts: float | None) -> bool:
    return volts is not None and abs(volts) <= NOTHING_VOLTS


def half_of(board: Board, point_id: str) -> str | None:
    """Which half of its rail's rung a point speaks for: cold, live or neither.

    A point with figures of its own (power gone, the leads) speaks for none, nor does
    one read with a part lifted.
    """
    point = board.point(point_id)
    check = board.check(point.check)
    if point.rail is None or point.expect is not None or check.opens:
        return None
    if check.mode == "R" and check.condition == "U":
        return COLD
    is_live = check.mode == "V" and check.condition != "U"
    return LIVE if is_live or point.rail == "rtc" else None


def worst(words: Iterable[str]) -> str | None:
    """The word of a half with several points: bad, watch, unclear, good."""
    given = set(words)
    return next((word.value for word in _WORST_FIRST if word in given), None)


def worst_rung(words: Iterable[str]) -> str | None:
    """The word of a folded stage: its worst rung."""
    order = ("down", "odd", "unread", "up", "resting", "not_fitted")
    given = set(words)
    return next((word for word in order if word in given), None)
