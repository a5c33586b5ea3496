"""A guided test's steps: what may be typed, what stands, what is taken back."""

import pytest

from diagnostics.engine.errors import TypedValueError
from diagnostics.engine.guided import (
    TAKE_BACK,
    Answer,
    Ask,
    Mode,
    PartTestError,
    Said,
    Taken,
    answer_of,
    standing,
)

DIODE = Ask("forward", Mode.DIODE)
EITHER = Ask("gate_source", Mode.OHMS_OR_DIODE)
DIODE_FIRST = Ask("reverse", Mode.DIODE_OR_OHMS)
OHMS = Ask("core_ohms", Mode.OHMS)
ACT = Ask("discharge", Mode.ACT)
CHOICE = Ask("near", Mode.CHOICE, choices=("yes", "no"))


def refused(ask: Ask, typed: str) -> str:
    with pytest.raises(TypedValueError) as error:
        answer_of(ask, typed)
    return error.value.code


@pytest.mark.parametrize(
    ("ask", "typed", "answer"),
    [
        (DIODE, "0.48", Answer(Said.VALUE, 0.48, "V")),
        (DIODE, "480 mV", Answer(Said.VALUE, 0.48, "V")),
        (DIODE, "0,48 V", Answer(Said.VALUE, 0.48, "V")),
        (DIODE, "OL", Answer(Said.OPEN)),
        (DIODE, "can't reach", Answer(Said.CANT_REACH)),
        (OHMS, "4k7", Answer(Said.VALUE, 4700.0, "ohm")),
        (EITHER, "0.4 V", Answer(Said.VALUE, 0.4, "V")),
        (EITHER, "4.7 kΩ", Answer(Said.VALUE, 4700.0, "ohm")),
        (EITHER, "0.5 ohm", Answer(Said.VALUE, 0.5, "ohm")),
        (EITHER, "22k", Answer(Said.VALUE, 22e3, "ohm")),
        (EITHER, "470", Answer(Said.VALUE, 470.0, "ohm")),
        (EITHER, "OL", Answer(Said.OPEN)),
        (DIODE_FIRST, "0.6", Answer(Said.VALUE, 0.6, "V")),
        (DIODE_FIRST, "470", Answer(Said.VALUE, 470.0, "ohm")),
        (DIODE_FIRST, "5 Ω", Answer(Said.VALUE, 5.0, "ohm")),
        (ACT, "done", Answer(Said.DONE)),
        (CHOICE, "no", Answer(Said.CHOICE, choice="no")),
    ],
)
def test_what_may_be_typed(ask: Ask, typed: str, answer: Answer) -> None:
    assert answer_of(ask, typed) == answer


@pytest.mark.parametrize(
    ("ask", "typed", "code"),
    [
        (DIODE, "-0.4", "negative_diode"),
        (EITHER, "-0.4", "negative_diode"),
        (DIODE, "12", "beyond_diode"),
        (EITHER, "12 V", "beyond_diode"),
        (DIODE, "5 kΩ", "wrong_dimension"),
        (OHMS, "0.4 V", "wrong_dimension"),
        (OHMS, "-3", "negative_ohms"),
        (EITHER, "-3 Ω", "negative_ohms"),
        (EITHER, "0.6", "unit_needed"),
        (EITHER, "1,234", "unit_needed"),
        (EITHER, "3 A", "wrong_dimension"),
        (DIODE, "climbing", "hold_until_settled"),
        (OHMS, "not fitted", "not_an_answer"),
        (ACT, "0.4", "not_an_answer"),
        (CHOICE, "perhaps", "not_an_answer"),
        (EITHER, "", "empty"),
        (EITHER, "9" * 400, "too_long"),
        (EITHER, "<script>", "not_a_value"),
        (EITHER, "٠.٤ V", "foreign_digits"),
    ],
)
def test_what_is_refused(ask: Ask, typed: str, code: str) -> None:
    assert refused(ask, typed) == code


def test_what_an_ask_allows_beyond_that() -> None:
    climbs = Ask("reverse", Mode.DIODE, may_climb=True)
    assert answer_of(climbs, "climbing") == Answer(Said.CLIMBING)
    absent = Ask("twin_to_phase", Mode.OHMS, may_be_absent=True)
    assert answer_of(absent, "not fitted") == Answer(Said.NOT_FITTED)
    fades = Ask("reverse_charged", Mode.DIODE, choices=("faded",))
    assert answer_of(fades, "faded") == Answer(Said.CHOICE, choice="faded")


def test_taking_back_takes_the_last_that_stands() -> None:
    done = Answer(Said.DONE)
    rows = [Taken(one, done) for one in ("a", "b", TAKE_BACK, TAKE_BACK, "c")]
    assert [one.step for one in standing(rows)] == ["c"]


def test_taking_back_nothing_is_nothing() -> None:
    assert standing([Taken(TAKE_BACK, Answer(Said.DONE))]) == ()


def test_an_error_of_a_part_test_is_told_from_a_typed_one() -> None:
    assert not issubclass(PartTestError, TypedValueError)
