"""The one shape of every calculator, and what it refuses alike. PURE."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, fields
from enum import StrEnum
from functools import wraps
from math import isfinite
from typing import Any, TypeVar

from diagnostics.engine.errors import EngineError

G = TypeVar("G")
R = TypeVar("R")


class CalculatorError(EngineError):
    """An input with which a calculator cannot work; ``name`` is the input's."""


class Kind(StrEnum):
    """How an input is given: typed, ticked, chosen, or known from the board."""

    NUMBER = "number"
    MANY = "many"
    TEXT = "text"
    TICK = "tick"
    CHOICE = "choice"
    KNOWN = "known"


@dataclass(frozen=True)
class Input:
    """One input: a field of the calculator's frozen input.

    ``label``, ``help`` and the names of ``choices`` are message ids. ``unit`` is
    that of ``quantities``; what was typed is multiplied by ``scale``. ``also`` is a
    second unit that would do, where all inputs are in the same one. ``default`` is
    as it would be typed. ``mark`` stands beside the field where the unit is none.
    """

    name: str
    label: str
    unit: str = "1"
    kind: Kind = Kind.NUMBER
    default: str = ""
    is_optional: bool = False
    scale: float = 1.0
    also: str = ""
    mark: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    help: str = ""


@dataclass(frozen=True)
class Output:
    """One figure of the result, the most wanted first.

    ``reads`` are the checks of which it may be kept as a reading, because it was
    measured and not only expected.
    """

    name: str
    label: str
    unit: str = "1"
    reads: tuple[str, ...] = ()


@dataclass(frozen=True)
class Limit:
    """What a calculator refuses to go beyond, shown beside its inputs."""

    label: str
    value: float
    unit: str


@dataclass(frozen=True)
class Calculator:
    """A calculator as data, so that one page serves them all.

    ``serves`` are the checks beside which it is offered, ``cautions`` codes of the
    bench's cautions, ``formula`` what it reckons, as a person would write it.
    """

    id: str
    name: str
    formula: str
    given: type[Any]
    work: Callable[[Any], Any]
    inputs: tuple[Input, ...]
    outputs: tuple[Output, ...]
    serves: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    limits: tuple[Limit, ...] = ()

    def input(self, name: str) -> Input | None:
        return next((one for one in self.inputs if one.name == name), None)


def calculation(work: Callable[[G], R]) -> Callable[[G], R]:
    """Refuse what is no number, and results beyond what a number can hold.

    Raises ``CalculatorError``: ``not_finite`` (name), ``beyond_reckoning``.
    """

    @wraps(work)
    def checked(given: G) -> R:
        for name, value in floats_of(given):
            if not isfinite(value):
                raise CalculatorError("not_finite", name=name)
        try:
            result = work(given)
        except ArithmeticError as error:
            raise CalculatorError("beyond_reckoning") from error
        if not all(isfinite(value) for _name, value in floats_of(result)):
            raise CalculatorError("beyond_reckoning")
        return result

    return checked


def floats_of(shape: Any) -> Iterator[tuple[str, float]]:
    """Every float of a frozen shape, with the name of its field."""
    for field in fields(shape):
        value = getattr(shape, field.name)
        for one in value if isinstance(value, tuple) else (value,):
            if isinstance(one, float):
                yield field.name, one


def more_than_nought(**values: float | None) -> None:
    """Raises ``CalculatorError``: ``must_be_positive`` (name). ``None`` passes."""
    for name, value in values.items():
        if value is not None and not value > 0:
            raise CalculatorError("must_be_positive", name=name)


def not_below_nought(**values: float | None) -> None:
    """Raises ``CalculatorError``: ``must_not_be_negative`` (name)."""
    for name, value in values.items():
        if value is not None and value < 0:
            raise CalculatorError("must_not_be_negative", name=name)


def at_most(limit: float, unit: str, **values: float) -> None:
    """Raises ``CalculatorError``: ``must_be_at_most`` (name, limit, unit).

    A limit in per cent is of a fraction, and is said as a person typed it.
    """
    said = limit * 100 if unit == "%" else limit
    for name, value in values.items():
        if value > limit:
            raise CalculatorError("must_be_at_most", name=name, limit=said, unit=unit)


def needed(**values: float | None) -> None:
    """Raises ``CalculatorError``: ``is_needed`` (name) for the first that is none."""
    for name, value in values.items():
        if value is None:
            raise CalculatorError("is_needed", name=name)
