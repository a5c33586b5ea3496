"""A guided test: one ask after another, until nothing can change its result. PURE.

A test is written as a generator: it yields an ``Ask``, is sent the ``Answer`` and
returns its ``Result``. ``replay`` runs it over the answers that are known, so that
what was never asked can't count, and what is kept are the answers alone.
"""

from collections.abc import Generator, Iterable
from dataclasses import dataclass
from enum import StrEnum

from diagnostics.engine.errors import EngineError, TypedValueError
from diagnostics.engine.quantities import Outcome, Typed, parse
from diagnostics.engine.reasons import Reason, reason

TAKE_BACK = "take_back"
# No handheld meter offers more in diode mode (judgement).
DIODE_HIGHEST = 10.0


class PartTestError(EngineError):
    """A guided test that can't be set up, or a step that is not its turn."""


class Said(StrEnum):
    """What an answer is: a value, why there is none, an act done, or a choice."""

    VALUE = "value"
    OPEN = "ol"
    CLIMBING = "climbing"
    CANT_REACH = "cant_reach"
    NOT_FITTED = "not_fitted"
    DONE = "done"
    CHOICE = "choice"


class Mode(StrEnum):
    """How an ask is answered; two of them take volts and ohms, the first is asked."""

    ACT = "act"
    OHMS = "ohms"
    DIODE = "diode"
    DIODE_OR_OHMS = "diode_or_ohms"
    OHMS_OR_DIODE = "ohms_or_diode"
    CHOICE = "choice"


@dataclass(frozen=True)
class Ask:
    """One step: its id, how it is answered, and which pins get red and black."""

    step: str
    mode: Mode
    red: tuple[int, ...] = ()
    black: tuple[int, ...] = ()
    choices: tuple[str, ...] = ()
    may_climb: bool = False
    may_be_absent: bool = False


@dataclass(frozen=True)
class Answer:
    """What was said: volts or ohms in SI where it is a value."""

    said: Said
    value: float | None = None
    unit: str = ""
    choice: str = ""


@dataclass(frozen=True)
class Taken:
    """A kept step: its id and its answer."""

    step: str
    answer: Answer


@dataclass(frozen=True)
class Result:
    """What a test came to: the row of its table, the word, why, what would settle.

    ``row`` is empty where no row of the table fits; such a result is unclear.
    """

    row: str
    word: str
    reasons: tuple[Reason, ...]
    settle: tuple[str, ...] = ()
    is_likely: bool = False


Procedure = Generator[Ask, Answer, Result]


@dataclass(frozen=True)
class Position:
    """How far a test is: what was asked and answered; what is next, or its result."""

    answered: tuple[tuple[Ask, Answer], ...]
    next: Ask | None
    result: Result | None


def replay(procedure: Procedure, taken: Iterable[Taken]) -> Position:
    """Run a test over its answers; the first answer to a step counts.

    A pin that can't be reached ends the test: nothing is made of a gap.
    """
    known: dict[str, Answer] = {}
    for one in taken:
        known.setdefault(one.step, one.answer)
    answered: list[tuple[Ask, Answer]] = []
    try:
        ask = next(procedure)
        while ask.step in known:
            answer = known[ask.step]
            answered.append((ask, answer))
            if answer.said is Said.CANT_REACH:
                return Position(tuple(answered), None, UNREACHED)
            ask = procedure.send(answer)
    except StopIteration as ended:
        return Position(tuple(answered), None, ended.value)
    return Position(tuple(answered), ask, None)


UNREACHED = Result("", "unclear", (reason("pin_not_reached"),), ("reach_pin",))


def standing(rows: Iterable[Taken]) -> tuple[Taken, ...]:
    """The steps that stand: each ``take_back`` takes back the last one before it.

    >>> steps = [Taken(one, Answer(Said.DONE)) for one in ("a", "b", TAKE_BACK)]
    >>> [one.step for one in standing(steps)]
    ['a']
    """
    found: list[Taken] = []
    for one in rows:
        if one.step != TAKE_BACK:
            found.append(one)
        elif found:
            found.pop()
    return tuple(found)


# --- what was typed or tapped --------------------------------------------------


def answer_of(ask: Ask, typed: str) -> Answer:
    """Read what was typed or tapped for a step.

    Raises ``TypedValueError``: those of ``quantities.parse``, ``not_an_answer``,
    ``unit_needed`` (where a bare number could be volts or ohms),
    ``hold_until_settled``, ``negative_diode`` or ``beyond_diode`` (volts).
    """
    if typed in ask.choices:
        return Answer(Said.CHOICE, choice=typed)
    if ask.mode is Mode.ACT and typed == Said.DONE:
        return Answer(Said.DONE)
    if ask.mode in {Mode.ACT, Mode.CHOICE}:
        raise TypedValueError("not_an_answer")
    return _allowed(ask, READ[ask.mode](typed))


def _ohms(typed: str) -> Typed:
    return parse(typed, "ohm")


def _volts(typed: str) -> Typed:
    found = parse(typed, "V")
    if found.value is not None and found.value < 0:
        raise TypedValueError("negative_diode")
    if found.value is not None and found.value > DIODE_HIGHEST:
        raise TypedValueError("beyond_diode", volts=found.value)
    return found


def _volts_or_ohms(typed: str) -> Typed:
    """By the unit typed; a bare number is volts, where volts go so high."""
    try:
        volts = parse(typed, "V")
    except TypedValueError as error:
        if error.code not in {"wrong_dimension", "out_of_range"}:
            raise
        return _ohms(typed)
    is_ohms = (volts.value or 0.0) > DIODE_HIGHEST and _is_bare(typed)
    return _ohms(typed) if is_ohms else _volts(typed)


def _ohms_or_volts(typed: str) -> Typed:
    """By the unit typed; a bare number that could be volts is asked for its unit."""
    found = _volts_or_ohms(typed)
    if found.value is not None and found.unit == "V" and _is_bare(typed):
        raise TypedValueError("unit_needed")
    return found


def _is_bare(typed: str) -> bool:
    """Could the same text be ohms as well?"""
    try:
        _ohms(typed)
    except TypedValueError as error:
        return error.code != "wrong_dimension"
    return True


READ = {
    Mode.OHMS: _ohms,
    Mode.DIODE: _volts,
    Mode.DIODE_OR_OHMS: _volts_or_ohms,
    Mode.OHMS_OR_DIODE: _ohms_or_volts,
}


def _allowed(ask: Ask, typed: Typed) -> Answer:
    if typed.outcome is Outcome.CLIMBING and not ask.may_climb:
        raise TypedValueError("hold_until_settled")
    if typed.outcome is Outcome.NOT_FITTED and not ask.may_be_absent:
        raise TypedValueError("not_an_answer")
    unit = typed.unit if typed.value is not None else ""
    return Answer(Said(typed.outcome.value), typed.value, unit)
