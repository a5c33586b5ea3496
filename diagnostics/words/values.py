"""The values of a reason or an error, as a person reads them."""

from collections.abc import Callable, Mapping
from math import floor, log10

from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from diagnostics.engine.errors import Value
from diagnostics.engine.quantities import round_up
from diagnostics.figures import show
from shop.shown import figures

# A value's key says its unit, alone or behind a line: "ohms", "main_ohms".
UNIT_OF_KEY = {
    "volts": "V",
    "ohms": "ohm",
    "amps": "A",
    "hertz": "Hz",
    "kelvin": "K",
    "seconds": "s",
    "percent": "%",
}
IN_UNIT = frozenset(
    {"value", "limit", "distance", "error", "low", "high", "usual_low", "usual_high"}
)
UNIT_NAMES = {
    "V": gettext_noop("volts"),
    "ohm": gettext_noop("ohms"),
    "A": gettext_noop("amperes"),
    "Hz": gettext_noop("hertz"),
    "K": gettext_noop("kelvins"),
    "s": gettext_noop("seconds"),
    "%": gettext_noop("percent"),
    "1": gettext_noop("plain numbers"),
    "W": gettext_noop("watts"),
    "F": gettext_noop("farads"),
    "H": gettext_noop("henries"),
    "Ah": gettext_noop("ampere-hours"),
    "Wh": gettext_noop("watt-hours"),
}
# What may be in the board while it is read.
FITTED_NAMES = {
    "adapter": gettext_noop("Adapter"),
    "pack": gettext_noop("Battery pack"),
    "modules": gettext_noop("Memory modules"),
    "cpu": gettext_noop("CPU"),
    "coin_cell": gettext_noop("Coin cell"),
}
BASES = {
    "cp": gettext_noop("common practice"),
    "jd": gettext_noop("judgement"),
    "std": "",
}


def shown(values: Mapping[str, Value]) -> dict[str, str]:
    """Each value as text; with ``low`` and ``high`` also their ``span``.

    So for ``usual_low`` and ``usual_high``, whose range is ``usual_span``.
    """
    unit = str(values.get("unit", ""))
    texts = {key: _shown(key, value, values, unit) for key, value in values.items()}
    for ends in ("", "usual_"):
        low, high = f"{ends}low", f"{ends}high"
        if low in values and high in values:
            texts[f"{ends}span"] = span(
                _number(values[low]), _number(values[high]), unit
            )
    return texts


def _shown(key: str, value: Value, values: Mapping[str, Value], unit: str) -> str:
    number = _number(value)
    own_unit = UNIT_OF_KEY.get(key.rpartition("_")[2])
    if number is None or isinstance(value, str):
        return _text(key, value)
    if own_unit is not None:
        return show(number, own_unit)
    if key == "error" and number > 0:
        return show(round_up(number, _first(number)), unit, _first(number))
    if key == "distance" and number > 0:
        error = _number(values.get("error")) or number
        return show(number, unit, _first(min(number, error)))
    return show(number, unit) if unit and key in IN_UNIT else figures(f"{value}")


def _text(key: str, value: Value) -> str:
    written = "" if value is None else str(value)
    return _TEXTS[key](written) if key in _TEXTS else written


def _first(number: float) -> float:
    """The size of a number's first digit: 0.0046 -> 0.001."""
    return 10.0 ** floor(log10(number))


def _number(value: Value) -> float | None:
    return float(value) if isinstance(value, int | float) else None


def span(low: float | None, high: float | None, unit: str) -> str:
    """A range in words: "3.28 to 3.34 V", "from 1 kΩ up", "up to 0.5 Ω"."""
    if low is None or high is None:
        ends = {"low": low, "high": high}
        given = {k: show(v, unit) for k, v in ends.items() if v is not None}
        text = _("from {low} up") if low is not None else _("up to {high}")
        return text.format(**given) if given else ""
    first, last = show(low, unit), show(high, unit)
    if first == last:
        return first
    number, _space, mark = first.partition("\N{NO-BREAK SPACE}")
    is_same = mark == last.partition("\N{NO-BREAK SPACE}")[2]
    return _("{low} to {high}").format(low=number if is_same else first, high=last)


def source(marked: str) -> str:
    """The source in brackets, "std: ATX" as (ATX); nothing where none is named."""
    basis, _colon, name = marked.removeprefix("family ").partition(":")
    if basis in BASES:
        named = figures(_(name.strip())) if name.strip() else ""
        parts = [_(BASES[basis]) if BASES[basis] else "", named]
    else:
        parts = [figures(_(marked)) if marked else ""]
    said = ", ".join(part for part in parts if part)
    return f" ({said})" if said else ""


def unit_name(unit: str) -> str:
    return _(UNIT_NAMES.get(unit, unit))


def place(name: str) -> str:
    """A place in brackets; nothing where none is named."""
    return f" ({name})" if name else ""


def category_name(category: str) -> str:
    return _(category.replace("_", " "))


def fitted_name(fitted: str) -> str:
    return _(FITTED_NAMES[fitted])


_TEXTS: dict[str, Callable[[str], str]] = {
    "fitted": fitted_name,
    "source": source,
    "expected": unit_name,
    "got": unit_name,
    "category": category_name,
    "place": place,
}
