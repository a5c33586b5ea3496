"""A calculator worked with what was typed, and its result as a person reads it."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from math import ceil, log10
from typing import Any

from diagnostics import sayings, words
from diagnostics.bridge import Known
from diagnostics.engine import quantities
from diagnostics.engine.calculators.entries import Filled, UnreadEntries, fill
from diagnostics.engine.calculators.registry import CALCULATORS
from diagnostics.engine.calculators.shape import (
    Calculator,
    CalculatorError,
    Kind,
    Output,
)
from diagnostics.engine.errors import EngineError
from diagnostics.engine.family import Point
from diagnostics.engine.reasons import Reason
from diagnostics.figures import show

Errors = dict[str | None, str]


class NotReckoned(Exception):
    """What was typed leads to no result: a sentence for each input, or for all."""

    def __init__(self, errors: Errors) -> None:
        self.errors = errors
        super().__init__(" ".join(errors.values()))


@dataclass(frozen=True)
class Reckoned:
    """A calculator with what was typed, read, and found."""

    calculator: Calculator
    typed: Mapping[str, str]
    filled: Filled
    result: Any

    @property
    def found(self) -> dict[str, Any]:
        """The result without its reasons, as it is kept."""
        return {k: v for k, v in asdict(self.result).items() if k != "reasons"}


def reckon(calculator: Calculator, typed: Mapping[str, str]) -> Reckoned:
    """Work a calculator; raises ``NotReckoned`` with every sentence needed."""
    try:
        filled = fill(calculator, typed)
        result = calculator.work(filled.given)
    except UnreadEntries as unread:
        pairs = unread.errors.items()
        raise NotReckoned({k: sentence(calculator, e) for k, e in pairs}) from unread
    except CalculatorError as error:
        name = error.values.get("name")
        field = str(name) if name else None
        raise NotReckoned({field: sentence(calculator, error)}) from error
    return Reckoned(calculator, typed, filled, result)


def as_typed(calculator_id: str, typed: Mapping[str, str]) -> dict[str, str]:
    """A person's own entries, as they are kept; a tick is kept as such."""
    given = [o for o in CALCULATORS[calculator_id].inputs if o.kind is not Kind.KNOWN]
    texts = {one.name: typed.get(one.name, "") for one in given}
    ticks = {one.name for one in given if one.kind is Kind.TICK}
    return {k: "on" if k in ticks and text else text for k, text in texts.items()}


def sentence(calculator: Calculator, error: EngineError) -> str:
    """What was refused, with the input's label in place of its name."""
    one = calculator.input(str(error.values.get("name")))
    values = dict(error.values)
    if one is not None:
        values["name"] = sayings.family_text(one.label)
    return words.error_sentence(EngineError(error.code, **values))


# --- the result as it is read ---------------------------------------------------


def figures(calculator: Calculator, found: Mapping[str, Any]) -> list[dict[str, str]]:
    """The figures that the result has, the most wanted first."""
    return [
        {"label": sayings.family_text(one.label), "text": show(value, one.unit)}
        for one in calculator.outputs
        if (value := found.get(one.name)) is not None
    ]


def sentences(reasons: tuple[Reason, ...]) -> list[str]:
    return [words.sentence(one) for one in reasons]


def entries(calculator: Calculator, typed: Mapping[str, str]) -> list[dict[str, str]]:
    """What was typed, with its labels, for a calculation that is kept."""
    return [
        {"label": sayings.family_text(one.label), "text": typed[one.name]}
        for one in calculator.inputs
        if typed.get(one.name)
    ]


# --- as a reading ---------------------------------------------------------------


@dataclass(frozen=True)
class Storable:
    """A figure of a result that may be stored as a reading of a point."""

    output: Output
    point: Point
    text: str


def storable(known: Known, point_id: str, reckoned: Reckoned) -> list[Storable]:
    """What of a result was measured at the check in hand, and where it belongs.

    It belongs to the point in hand, or where the units differ to the first point
    of its check that has the figure's unit.
    """
    here = known.board.points.get(point_id)
    if here is None:
        return []
    found = []
    for output in reckoned.calculator.outputs:
        value = getattr(reckoned.result, output.name)
        points = [here, *known.board.fitted_points(here.check)]
        point = next((one for one in points if one.unit == output.unit), None)
        if value is not None and point and here.check in output.reads:
            found.append(Storable(output, point, show(value, output.unit)))
    return found


def reading_fields(reckoned: Reckoned, output: Output) -> dict[str, Any]:
    """What ``reading_take`` keeps: as typed, and how it was taken."""
    given, result = reckoned.filled.given, reckoned.result
    value = getattr(result, output.name)
    how: dict[str, Any] = {"typed": quantities.show(value, output.unit)}
    if reckoned.calculator.id == "sense":
        how["typed"] = quantities.show(value, output.unit, result.step_amperes)
    if reckoned.calculator.id == "injection":
        how["typed"] = quantities.show(value, output.unit, given.resolution_volts)
        how["supply_volts"] = given.set_volts
        how["supply_limit_amps"] = given.set_amperes
    if reckoned.calculator.id == "low_ohms" and result.is_four_wire:
        digit = power_of_ten(reckoned.filled.digits["drop_volts"] / given.amperes)
        how |= {
            "typed": quantities.show(value, output.unit, digit),
            "is_four_wire": True,
        }
    elif reckoned.calculator.id == "low_ohms":
        how["typed"] = reckoned.typed["shown_ohms"]
        how["lead_ohms"] = given.leads_ohms
    return how


def power_of_ten(size: float) -> float:
    """The next power of ten up: a digit that the drop's own digit bears out."""
    return float(10.0 ** ceil(log10(size) - 1e-9))
