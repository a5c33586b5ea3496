"""The engine's advice with the names of this board's things in it."""

from collections.abc import Sequence
from math import isinf

from django.utils.text import get_text_list
from django.utils.translation import gettext as _

from diagnostics import sayings, words
from diagnostics.bridge import Known
from diagnostics.engine.assessment import Key
from diagnostics.engine.calibration import Bin
from diagnostics.engine.errors import Value
from diagnostics.engine.family import Part
from diagnostics.engine.reasons import Reason
from diagnostics.figures import show
from diagnostics.words import advice
from diagnostics.words.values import category_name

FIGURES = ("low", "high", "usual_low", "usual_high")


# --- readings for and against a suspect ---------------------------------------------


def reading(known: Known, why: Reason) -> str:
    """“standby 3.3 V read 0.4 Ω; with this fault 0.02 to 3 Ω, on a good board …”"""
    values = dict(why.values)
    values["point"] = point_named(known, str(values["point"]))
    unit, value = str(values.get("unit", "")), values.get("value")
    if values.get("category"):
        values["value"] = category_name(str(values["category"]))
    elif value is not None and not isinstance(value, str):
        values["value"] = "OL" if isinf(value) else show(value, unit)
    else:
        values["value"] = "OL" if values.get("ol") else str(value or "")
    values |= {
        key: figure(values[key]) for key in FIGURES if values.get(key) is not None
    }
    return words.sentence(Reason(why.code + _known_ranges(values), values))


def _known_ranges(values: dict[str, Value]) -> str:
    """Which of the sentences fits: both ranges, one of them, or neither."""
    with_fault = {values.get("low"), values.get("high")} != {None}
    good = {values.get("usual_low"), values.get("usual_high")} != {None}
    return {
        (True, True): "",
        (True, False): "_fault",
        (False, True): "_good",
        (False, False): "_bare",
    }[with_fault, good]


def figure(value: Value) -> float | None:
    """A predicted figure: two digits are more than it knows."""
    number = value if isinstance(value, int | float) else None
    if number is None or isinf(number):
        return number
    return float(f"{number:.1e}")


def point_named(known: Known, point_id: str) -> str:
    point = known.board.points.get(point_id)
    if point is None:
        return point_id
    check = known.board.check(point.check)
    return sayings.row_title(known.board, check, point)


# --- why a check is offered, or none any more ---------------------------------------


def why(known: Known, reason: Reason, *, is_hidden: bool = False) -> str:
    """One sentence; without the suspects' names where they are not to be told."""
    values = dict(reason.values)
    if "suspects" in values:
        if is_hidden:
            return _(advice.UNTOLD)
        values["suspects"] = listed(known, keys_of(str(values["suspects"])))
    if "check" in values and str(values["check"]) in known.board.checks:
        check = known.board.check(str(values["check"]))
        values["check"] = f"{sayings.family_text(check.name)} ({check.id})"
    if "minutes" in values:
        values["minutes"] = f"{figure(values['minutes']) or 0:g}"
    return words.sentence(Reason(reason.code, values))


def keys_of(text: str) -> list[Key]:
    """``"p.dual:no_output, p.csb:short"`` as keys; the last colon parts each."""
    pairs = (one.strip().rpartition(":") for one in text.split(","))
    return [(part, mode) for part, _colon, mode in pairs if part]


def listed(known: Known, keys: Sequence[Key]) -> str:
    """Parts by name; with their ways of failing where one part stands twice."""
    parts = [part for part, _mode in keys]
    names = [
        sayings.suspect_title(known.board, part, mode if parts.count(part) > 1 else "")
        for part, mode in keys
    ]
    return str(get_text_list(names, _("and")))


# --- a part as a repair -------------------------------------------------------------


def repair(part: Part, currency: str) -> str:
    """“15 to 30 min, part 1 to 5 EUR, low risk to the board”"""
    told = [minutes(part.minutes), cost(part.cost_class, currency), risk(part.risk)]
    return ", ".join(text for text in told if text)


def minutes(span: tuple[float, float]) -> str:
    first, last = span
    if not last:
        return ""
    if first == last:
        return _("%(minutes)s min") % {"minutes": f"{last:g}"}
    both = {"first": f"{first:g}", "last": f"{last:g}"}
    return _("%(first)s to %(last)s min") % both


def cost(classes: str, currency: str) -> str:
    """What the part costs: from the lowest class named to the highest."""
    named = [advice.COSTS[one] for one in classes.split("-") if one in advice.COSTS]
    if not named:
        return ""
    low, high = named[0][0], named[-1][1]
    values = {"low": low, "high": high, "currency": currency}
    if low is None:
        return _("part under %(high)s %(currency)s") % values
    if high is None:
        return _("part over %(low)s %(currency)s") % values
    return _("part %(low)s to %(high)s %(currency)s") % values


def risk(level: str) -> str:
    return _(advice.RISKS[level]) if level in advice.RISKS else ""


# --- how far it may be believed -----------------------------------------------------


def said_about(one: Bin) -> str:
    return _(advice.SAID[one.low])


def calibration(one: Bin) -> str:
    """“In this shop, when it said about 80 %, it was right 13 of 18.”"""
    values = {"about": said_about(one), "right": one.right, "said": one.said}
    if not one.is_telling:
        told = _("Parts proven here of which it said %(about)s: %(said)s, too few yet.")
        return told % values
    told = _(
        "In this shop, when it said %(about)s, it was right %(right)s of %(said)s."
    )
    return told % values


def interval(one: Bin) -> str:
    """Where the share lies, for who wants to know it closer."""
    if not one.is_telling:
        return ""
    low, high = one.interval
    return _("%(low)s to %(high)s, with 95 %% confidence") % {
        "low": sayings.percent(low),
        "high": sayings.percent(high),
    }
