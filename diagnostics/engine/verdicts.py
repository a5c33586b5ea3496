"""What a reading means: good, watch, bad or unclear, always with its reason. PURE.

Two yardsticks. The *limit* (a standard's, or the family's hard limit) is decided
by the probability p that the true value lies inside it, given the reading and
the meter (JCGM 106:2012): p >= 0.95 passes, p <= 0.05 is bad, anything between
is unclear. The *usual range* (the family's band, or what this model reads) never
makes a reading bad: outside it, while the limit passes, is watch.

Which error is worse? A false *good* sends the technician past the fault; on a
gate it puts power into a short. A false *bad* takes a healthy part off, and on a
core rail it writes the board off. Both are dearer than one more reading. Hence
the guard on both sides of a limit (a reading inside it by less than the meter's
own error is not yet good, one outside by less is not yet bad), and *unclear*,
which is never rounded to good or bad and always says what would settle it. For
the same reason a poor meter proves nothing: where p is small only because the
meter is coarser than the limits are wide, the word is unclear, not bad.

0.41 V on a 3.3 V rail with a meter good to 0.01 V:

>>> rail = Yardstick(unit="V", limit_low=3.135, limit_high=3.465)
>>> judge(Observed(Outcome.VALUE, 0.41, 0.006, "V"), rail).word.value
'bad'
"""

from collections.abc import Mapping

from diagnostics.engine.limits import (
    PASSES,
    Margin,
    is_proven_outside,
    margin,
    p_inside,
)
from diagnostics.engine.quantities import Outcome
from diagnostics.engine.reasons import Reason, reason
from diagnostics.engine.taken import (
    RED_ON_GROUND,
    RED_ON_POINT,
    incomparable,
    unclear,
)
from diagnostics.engine.yardsticks import (
    Observed,
    Settle,
    Supply,
    Verdict,
    Word,
    Yardstick,
)

__all__ = [
    "RED_ON_GROUND",
    "RED_ON_POINT",
    "Observed",
    "Settle",
    "Supply",
    "Verdict",
    "Word",
    "Yardstick",
    "judge",
    "p_inside",
]

# A rail whose good ohms begin under this has loads on it, so OL there is more
# likely a probe without contact than a healthy net (judgement).
LOADED_BELOW_OHMS = 10e3


def judge(
    observed: Observed,
    yardstick: Yardstick | None,
    *,
    category_words: Mapping[str, str] | None = None,
) -> Verdict:
    """The verdict of one reading, by the table in the module's docstring."""
    if observed.outcome is Outcome.CATEGORY:
        return _of_category(observed.category, category_words or {})
    if observed.outcome in _WITHOUT_VALUE:
        why, settle = _WITHOUT_VALUE[observed.outcome]
        return unclear(why, settle=(settle,))
    if yardstick is None or not (yardstick.has_limit or yardstick.has_usual):
        why = reason("no_yardstick")
        return unclear(why, settle=(Settle.COMPARE_GOOD_BOARD,))
    return incomparable(observed, yardstick) or (
        _over_limit(observed, yardstick)
        if observed.outcome is Outcome.OVER_LIMIT
        else _of_value(observed, yardstick)
    )


_WITHOUT_VALUE = {
    Outcome.CLIMBING: (reason("still_climbing"), Settle.WAIT_SETTLED),
    Outcome.CANT_REACH: (reason("cannot_reach"), Settle.OTHER_POINT),
    Outcome.NOT_FITTED: (reason("is_not_fitted"), Settle.MARK_NOT_FITTED),
}


def _of_category(category: str, words: Mapping[str, str]) -> Verdict:
    if category not in words:
        why = reason("seen_unknown", category=category)
        return unclear(why, settle=(Settle.LOOK_AGAIN,))
    why = reason("seen", category=category)
    word = Word(words[category])
    if word is Word.UNCLEAR:
        return unclear(why, settle=(Settle.LOOK_AGAIN,))
    return Verdict(word, None, (why,))


def _over_limit(observed: Observed, yardstick: Yardstick) -> Verdict:
    """OL: more than the meter shows in this mode."""
    if observed.mode == "D":
        return _diode_over_limit(yardstick)
    if yardstick.unit != "ohm":
        return unclear(reason("over_range"), settle=(Settle.HIGHER_RANGE,))
    if yardstick.limit_high is not None:
        why = reason("open_not_allowed", ohms=yardstick.limit_high)
        return Verdict(Word.BAD, 0.0, (why, reason("touch_first")))
    if yardstick.usual_high is not None:
        return Verdict(Word.WATCH, 1.0, (reason("open_unusual"), *_usual(yardstick)))
    good_from = yardstick.good_from
    if good_from is not None and good_from < LOADED_BELOW_OHMS:
        why = reason("open_on_loaded", ohms=good_from)
        return unclear(why, settle=(Settle.TOUCH_AGAIN, Settle.OTHER_POINT), p=1.0)
    return Verdict(Word.GOOD, 1.0, (reason("open_no_short"),))


def _diode_over_limit(yardstick: Yardstick) -> Verdict:
    if yardstick.limit_high is not None:
        why = reason("diode_open_not_allowed", volts=yardstick.limit_high)
        return Verdict(Word.BAD, 0.0, (why, reason("touch_first")))
    if yardstick.ol_is_usual:
        return Verdict(Word.GOOD, None, (reason("diode_open_usual"),))
    return Verdict(Word.WATCH, None, (reason("diode_open"), *_usual(yardstick)))


def _of_value(observed: Observed, yardstick: Yardstick) -> Verdict:
    value = observed.net
    if yardstick.is_of_leads and observed.value is not None:
        value = observed.value
    if not yardstick.has_limit:
        return _by_usual(value, yardstick, None, ())
    p = p_inside(value, observed.u_net, yardstick.low, yardstick.limit_high)
    to_limit = margin(value, observed, yardstick)
    if p >= PASSES:
        return _by_usual(value, yardstick, p, (to_limit.inside(),))
    return _not_passed(to_limit, observed, p)


def _not_passed(to_limit: Margin, observed: Observed, p: float) -> Verdict:
    """Bad where it is proven, and on core rails by four wires and unopposed."""
    value, yardstick = to_limit.value, to_limit.yardstick
    low, high = yardstick.low, yardstick.limit_high
    if yardstick.needs_four_wire and not observed.four_wire:
        why = reason("needs_four_wire", ohms=value)
        return unclear(why, settle=(Settle.FOUR_WIRE,), p=p)
    if not is_proven_outside(value, observed.u_net, low, high):
        finer = (Settle.MORE_DIGITS, Settle.FINER_METER)
        return unclear(to_limit.close(), to_limit.meter(), settle=finer, p=p)
    if yardstick.needs_four_wire and _is_usual_here(value, yardstick):
        again = (Settle.COMPARE_GOOD_BOARD,)
        history = (to_limit.history_disagrees(), *_usual(yardstick))
        return unclear(*history, settle=again, p=p)
    practice = () if yardstick.limit_is_hard else (reason("limit_is_practice"),)
    band = _usual(yardstick) if yardstick.is_of_this_model else ()
    reasons = (to_limit.outside(), *to_limit.blame(), *practice, *band)
    return Verdict(Word.BAD, p, reasons)


def _is_usual_here(value: float, yardstick: Yardstick) -> bool:
    return yardstick.is_of_this_model and yardstick.contains_usual(value)


def _by_usual(
    value: float,
    yardstick: Yardstick,
    p: float | None,
    passed: tuple[Reason, ...],
) -> Verdict:
    """The limit passes, or there is none: good or watch by the usual range."""
    if yardstick.watch_low is not None:
        return _ohms_by_usual(value, yardstick, yardstick.watch_low, p, passed)
    if not yardstick.has_usual or yardstick.contains_usual(value):
        return Verdict(Word.GOOD, p, (*passed, *_usual(yardstick)))
    outside = reason("outside_usual", value=value, unit=yardstick.unit)
    return Verdict(Word.WATCH, p, (outside, *_usual(yardstick), *passed))


def _ohms_by_usual(
    value: float,
    yardstick: Yardstick,
    watch_low: float,
    p: float | None,
    passed: tuple[Reason, ...],
) -> Verdict:
    """Between watch-below and ok-from only the model's own band makes it good."""
    band = _usual(yardstick)
    if value < watch_low:
        low = reason("under_watch", value=value, limit=watch_low, unit="ohm")
        return Verdict(Word.WATCH, p, (low, *band, *passed))
    if _is_usual_here(value, yardstick):
        return Verdict(Word.GOOD, p, (*band, *passed))
    good_from = yardstick.good_from
    if good_from is not None and value < good_from:
        between = reason(
            "between_bands", value=value, low=watch_low, high=good_from, unit="ohm"
        )
        own = band if yardstick.is_of_this_model else ()
        again = (Settle.COMPARE_GOOD_BOARD,)
        return unclear(between, *own, *passed, settle=again, p=p)
    if yardstick.is_of_this_model:
        outside = reason("outside_usual", value=value, unit="ohm")
        return Verdict(Word.WATCH, p, (outside, *band, *passed))
    return Verdict(Word.GOOD, p, (*passed, *band))


def _usual(yardstick: Yardstick) -> tuple[Reason, ...]:
    """What is usual here, and who says so; nothing where nobody does."""
    if not yardstick.has_usual:
        return ()
    low, high, unit = yardstick.usual_low, yardstick.usual_high, yardstick.unit
    if yardstick.is_of_this_model:
        boards = yardstick.usual_count
        return (reason("model_reads", low=low, high=high, unit=unit, boards=boards),)
    source = yardstick.usual_source
    return (reason("family_reads", low=low, high=high, unit=unit, source=source),)
