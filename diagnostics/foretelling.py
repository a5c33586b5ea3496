"""What the pad in hand knows beforehand: the word of every value it may take."""

import json

from diagnostics import bridge, taking
from diagnostics.bridge import Known
from diagnostics.engine import feeds, rungs
from diagnostics.engine.family import Check
from diagnostics.engine.foretold import Foretold, foretold
from diagnostics.engine.yardsticks import Word, Yardstick
from diagnostics.models import Reading
from diagnostics.taking import Asked
from diagnostics.walk import Step
from shop.people.models import Person

STEADY = "steady"


def on_pad(
    known: Known, step: Step, by: Person, asked: Asked, leads: float | None
) -> str:
    """As JSON for static/js/foretold.js; "" where a word hangs on more than a value."""
    check = step.check
    has_own_course = bool(check.patterns.get((asked.pattern or {}).get("kind", STEADY)))
    if check.categories or has_own_course:
        return ""
    row = taking.draft(known, step.point.id, by, asked)
    row.lead_ohms = leads if taking.needs_leads(row) else None
    found = words_of(known, step, row)
    return as_json(found, row.lead_ohms) if found else ""


def words_of(known: Known, step: Step, row: Reading) -> Foretold | None:
    """What the verdict will be, as far as the other readings leave it to the value."""
    yardstick = yardstick_of(known, step.check, row)
    if yardstick is None:
        return None
    found = foretold(bridge.observed(row), yardstick, bridge.meter_spec(row.meter))
    if step.check.alike is not None:
        found = found.without(Word.GOOD)
    is_live = rungs.half_of(known.board, step.point.id) == rungs.LIVE
    if is_live and is_unfed(known, step, row):
        found = found.without(*feeds.PASSED)
    return found


def yardstick_of(known: Known, check: Check, row: Reading) -> Yardstick | None:
    if not check.by_arithmetic:
        return known.yardstick(bridge.like_of(row), row.unit)
    standings = bridge.standings_in(known.judged, known.back_since, row.epoch)
    return bridge.yardstick_of_rails(known.board, standings, row)


def is_unfed(known: Known, step: Step, row: Reading) -> bool:
    """Whether what feeds the rail was read without volts as the board stands now."""
    volts = {
        one.point.rail: one.reading.value
        for one in known.judged
        if one.check.mode == "V"
        and (one.reading.epoch, one.reading.condition) == (row.epoch, row.condition)
    }
    rail = known.board.rails.get(step.point.rail or "")
    needs = rail.needs if rail else ()
    return any(rungs.is_nothing(volts.get(feeder)) for feeder in needs)


def as_json(found: Foretold, leads: float | None) -> str:
    by_digit = [
        [digit, [[one.low, one.high, str(one.word)] for one in stretches]]
        for digit, stretches in found.by_digit
    ]
    told = {"by": by_digit, "over": str(found.over_limit), "leads": leads or 0}
    return json.dumps(told, separators=(",", ":"))
