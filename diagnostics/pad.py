"""The number pad of a check: its keys, and what may be typed there."""

from typing import Any

from django.utils.formats import get_format

from diagnostics import sayings
from diagnostics.engine.family import Check
from diagnostics.engine.units import PHYSICAL, PREFIXES, SHOWN_PREFIXES
from diagnostics.models import ReadingOutcome
from shop.people.models import Shop

DIGITS = "789456123"
KEYS = "kMm\N{MICRO SIGN}np"
SETTLES_SLOWLY = frozenset("RCD")


def pad(check: Check, unit: str, shop: Shop) -> dict[str, Any]:
    """What the pad shows, and what static/js/pad.js needs to understand an entry."""
    least, most = PHYSICAL.get(unit, (0.0, 0.0))
    return {
        "unit": unit,
        "sign": sayings.unit(unit),
        "least": f"{least:g}",
        "most": f"{most:g}",
        "digits": DIGITS,
        "prefixes": prefixes(unit),
        "separator": separator(shop),
        "taps": taps(check),
    }


def prefixes(unit: str) -> list[str]:
    """The prefixes that such a unit is read with; a frequency takes none below one."""
    if unit not in SHOWN_PREFIXES:
        return []
    least = -12 if any(PREFIXES[one] < 0 for one in SHOWN_PREFIXES[unit]) else 0
    return [key for key in KEYS if PREFIXES[key.replace(KEYS[3], "u")] >= least]


def separator(shop: Shop) -> str:
    """The decimal mark of the shop's own language."""
    return str(get_format("DECIMAL_SEPARATOR", lang=shop.language_codes[0]))


def taps(check: Check) -> list[dict[str, str]]:
    """What may be said of a point instead of a value."""
    outcomes = [ReadingOutcome.CANT_REACH, ReadingOutcome.NOT_FITTED]
    if check.mode in SETTLES_SLOWLY:
        outcomes.insert(0, ReadingOutcome.CLIMBING)
    if not check.categories:
        outcomes.insert(0, ReadingOutcome.OVER_LIMIT)
    return [
        {"value": one.value, "label": str(sayings.ANSWERS[one])} for one in outcomes
    ]
