"""From what was typed for a calculator to its frozen input. PURE.

Numbers are typed like readings. Several stand one a line, or with semicolons, or
with a comma and a space; each may be named ("C-a: 429 mV"), and a unit behind the
last counts for all that have none ("447, 441, 429 mV").
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

from diagnostics.engine import quantities
from diagnostics.engine.calculators.shape import (
    Calculator,
    CalculatorError,
    Input,
    Kind,
)
from diagnostics.engine.errors import EngineError, TypedValueError

MOST_TYPED = 1000
MOST_POINTS = 48
SEPARATORS = re.compile(r"[\n;]|, ")
BARE = re.compile(r"[+-]?[0-9.,]+")
UNIT_BEHIND = re.compile(r"[^0-9\s.,:+-][^0-9]*$")

Entry = float | str | bool | tuple[float, ...] | None


class UnreadEntries(Exception):
    """Entries that can't be read: the engine's error for each input by name."""

    def __init__(self, errors: Mapping[str, EngineError]) -> None:
        self.errors = dict(errors)
        super().__init__(", ".join(errors))


@dataclass(frozen=True)
class Filled:
    """A calculator's frozen input, its values by input in SI, and of each single
    number the size of the last digit typed.
    """

    given: Any
    values: Mapping[str, Entry]
    digits: Mapping[str, float]


@dataclass(frozen=True)
class _Read:
    value: Entry
    names: tuple[str, ...] = ()
    unit: str = ""
    digit: float | None = None


def fill(calculator: Calculator, typed: Mapping[str, str]) -> Filled:
    """The frozen input of a calculator from its entries as typed.

    Raises ``UnreadEntries``: for an input a ``TypedValueError``, or a
    ``CalculatorError``: ``is_needed``, ``unknown_choice``, ``too_many``,
    ``mixed_units``, ``no_value_there``.
    """
    read, errors = dict[str, _Read](), dict[str, EngineError]()
    for one in calculator.inputs:
        try:
            read[one.name] = _read(one, typed.get(one.name, "").strip())
        except EngineError as error:
            errors[one.name] = error
    errors |= _mixed(calculator, read)
    if errors:
        raise UnreadEntries(errors)
    values = {name: one.value for name, one in read.items()}
    digits = {name: one.digit for name, one in read.items() if one.digit}
    return Filled(calculator.given(**_arguments(calculator, read)), values, digits)


def _arguments(calculator: Calculator, read: Mapping[str, _Read]) -> dict[str, Any]:
    """The values, and the places named with them where the input holds such."""
    known = {field.name for field in fields(calculator.given)}
    named = {
        "names" if name != "ground_points" else "ground_names": one.names
        for name, one in read.items()
        if any(one.names)
    }
    values = {name: one.value for name, one in read.items()}
    return values | {name: one for name, one in named.items() if name in known}


def _read(one: Input, text: str) -> _Read:
    if one.kind is Kind.TICK:
        return _Read(text not in {"", "0", "false"})
    if not text and not one.is_optional:
        raise CalculatorError("is_needed", name=one.name)
    if one.kind is Kind.CHOICE and text not in {value for value, _name in one.choices}:
        raise CalculatorError("unknown_choice", name=one.name)
    if one.kind is Kind.MANY:
        return _many(one, text)
    if one.kind is Kind.NUMBER:
        return _number(one, text) if text else _Read(None)
    if len(text) > quantities.LONGEST:
        raise TypedValueError("too_long", longest=quantities.LONGEST)
    return _Read(text)


def _number(one: Input, text: str) -> _Read:
    try:
        typed = quantities.parse(text, one.unit)
    except TypedValueError as error:
        if error.code != "wrong_dimension" or error.values["got"] != one.also:
            raise
        typed = quantities.parse(text, one.also)
    if typed.value is None or typed.digit is None:
        raise CalculatorError("no_value_there", name=one.name)
    digit = typed.digit * one.scale
    return _Read(typed.value * one.scale, unit=typed.unit, digit=digit)


def _many(one: Input, text: str) -> _Read:
    if len(text) > MOST_TYPED:
        raise TypedValueError("too_long", longest=MOST_TYPED)
    lines = [part.strip() for part in SEPARATORS.split(text) if part.strip()]
    if len(lines) > MOST_POINTS:
        raise CalculatorError("too_many", name=one.name, most=MOST_POINTS)
    pairs = [_named(line) for line in lines]
    shared = UNIT_BEHIND.search(pairs[-1][1]) if pairs else None
    unit = f" {shared[0]}" if shared else ""
    texts = [text + unit if BARE.fullmatch(text) else text for _name, text in pairs]
    values = tuple(_one_of_many(one, text) for text in texts)
    return _Read(values, tuple(name for name, _text in pairs))


def _one_of_many(one: Input, text: str) -> float:
    value = _number(one, text).value
    assert isinstance(value, float)  # a number has one or was refused
    return value


def _named(line: str) -> tuple[str, str]:
    name, colon, value = line.rpartition(":")
    return (name.strip()[:20], value.strip()) if colon else ("", line)


def _mixed(calculator: Calculator, read: Mapping[str, _Read]) -> dict[str, EngineError]:
    """Inputs that may be in either unit must all be in the same one."""
    either = [one.name for one in calculator.inputs if one.also]
    units = {read[name].unit for name in either if name in read and read[name].unit}
    if len(units) < 2:
        return {}
    return {either[-1]: CalculatorError("mixed_units", name=either[-1])}
