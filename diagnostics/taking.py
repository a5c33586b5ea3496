"""From what a person typed or tapped to the columns of a reading. Writes nothing."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypedDict

from django.utils.translation import gettext as _

from diagnostics import bridge, conditions, courses, settling
from diagnostics.bridge import Known
from diagnostics.engine import quantities
from diagnostics.engine.family import Check, Point
from diagnostics.engine.quantities import Outcome
from diagnostics.models import Meter, Polarity, Reading, ReadingOutcome
from diagnostics.refusals import OtherContents, WrongCondition
from shop.people.models import Person
from shop.records.errors import Refused

POWERED = frozenset("ABRS")
COLD = frozenset("UJ")
TAPPED = frozenset(
    {ReadingOutcome.CLIMBING, ReadingOutcome.CANT_REACH, ReadingOutcome.NOT_FITTED}
)
SAME = (
    "board_id",
    "by_id",
    "point_id",
    "typed",
    "outcome",
    "category",
    "condition",
    "polarity",
    "pattern",
)


class AskedFields(TypedDict, total=False):
    """What may be said with a reading; all of it optional but one entry."""

    typed: str
    category: str
    outcome: str
    pattern: Mapping[str, Any] | None
    condition: str | None
    polarity: str | None
    is_four_wire: bool
    meter: Meter | None
    lead_ohms: float | None
    supply_volts: float | None
    supply_limit_amps: float | None
    supply_actual_volts: float | None
    fitted: Sequence[str] | None


@dataclass(frozen=True)
class Asked:
    """One entry at the bench, as it was typed, tapped and set."""

    typed: str = ""
    category: str = ""
    outcome: str = ""
    pattern: Mapping[str, Any] | None = None
    condition: str | None = None
    polarity: str | None = None
    is_four_wire: bool = False
    meter: Meter | None = None
    lead_ohms: float | None = None
    supply_volts: float | None = None
    supply_limit_amps: float | None = None
    supply_actual_volts: float | None = None
    fitted: Sequence[str] | None = None


def draft(known: Known, point_id: str, by: Person, asked: Asked) -> Reading:
    """An unsaved reading. Raises ``EngineError`` or ``Refused``, in words."""
    point = known.board.point(point_id)
    check = known.board.check(bridge.check_id_of(point_id))
    condition = condition_of(check, asked.condition)
    asked = as_it_stands(known, condition, asked)
    row = Reading(
        board=known.row,
        by=by,
        epoch=known.epoch,
        check_id=check.id,
        point_id=point.id,
        mode=check.mode,
        polarity=asked.polarity or point.polarity or Polarity.RED_ON_POINT,
        condition=condition,
        fitted=list(asked.fitted or ()),
        pattern=dict(asked.pattern) if asked.pattern else None,
        meter=asked.meter,
        lead_ohms=asked.lead_ohms,
        is_four_wire=asked.is_four_wire,
        supply_volts=asked.supply_volts,
        supply_limit_amps=asked.supply_limit_amps,
        supply_actual_volts=asked.supply_actual_volts,
    )
    enter(row, check, point, asked)
    return row


def as_it_stands(known: Known, condition: str, asked: Asked) -> Asked:
    """What was said of the board's condition, where the entry says nothing else."""
    now = conditions.carried(known, condition)
    if now is None:
        return asked
    has_supply = asked.supply_volts is not None
    limit = asked.supply_limit_amps
    return replace(
        asked,
        fitted=now.fitted if asked.fitted is None else asked.fitted,
        supply_volts=asked.supply_volts if has_supply else now.supply_volts,
        supply_limit_amps=now.supply_limit_amps if limit is None else limit,
    )


def enter(row: Reading, check: Check, point: Point, asked: Asked) -> None:
    """Fill in what was read: a tapped outcome, an answer, a course or a value."""
    course = str((asked.pattern or {}).get("kind", ""))
    if asked.outcome in TAPPED:
        row.outcome = asked.outcome
    elif courses.has_own_numbers(check, course):
        enter_course(row, point, asked)
    elif check.categories:
        row.category = category_of(check, asked.category or asked.typed)
        row.outcome = ReadingOutcome.CATEGORY
    else:
        enter_value(row, point, asked.typed)


def enter_value(row: Reading, point: Point, typed: str) -> None:
    said = quantities.parse(typed, point.unit)
    row.typed, row.outcome, row.value = said.text, said.outcome.value, said.value
    row.unit, row.decimals, row.digit = point.unit, said.decimals, said.digit
    if said.outcome is Outcome.VALUE and said.value is not None:
        row.full_scale = bridge.uncertainty_of(row).full_scale


def enter_course(row: Reading, point: Point, asked: Asked) -> None:
    """A course that stands for itself: its numbers, and no plain value."""
    course = courses.read(point, asked.pattern or {}, asked.typed)
    row.pattern, row.category = course, course["kind"]
    row.outcome, row.unit = ReadingOutcome.CATEGORY, point.unit
    if row.supply_actual_volts is None:
        row.supply_actual_volts = course.get("fallen_to")
    if row.supply_limit_amps is None:
        row.supply_limit_amps = course.get("limit")


def category_of(check: Check, chosen: str) -> str:
    if chosen not in check.categories:
        raise Refused(_("Choose one of the answers."), field="category")
    return chosen


def condition_of(check: Check, said: str | None) -> str:
    """The board's condition: the check's own, or one of its kind."""
    condition = check.condition if said is None else said
    if not check.condition or condition == check.condition:
        return condition
    if check.condition in POWERED and condition not in POWERED:
        raise WrongCondition(is_powered_check=True)
    if check.condition in COLD and condition != check.condition:
        raise WrongCondition(is_powered_check=False)
    return condition


def needs_leads(row: Reading) -> bool:
    """Two-wire ohms hold the leads' own; the leads' check is what measures them."""
    return row.unit == "ohm" and not row.is_four_wire and row.check_id != settling.LEADS


def same_or_refuse(kept: Reading, row: Reading) -> Reading:
    """The kept reading, where the new one says the same."""
    if any(getattr(kept, name) != getattr(row, name) for name in SAME):
        raise OtherContents
    return kept
