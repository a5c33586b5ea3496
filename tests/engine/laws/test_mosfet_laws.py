"""Laws of the MOSFET test, whatever is read."""

from collections.abc import Mapping
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.engine import mosfet
from diagnostics.engine.guided import Answer, Mode, Said, Taken
from diagnostics.engine.packages import Channel, Setup
from tests.engine.playing import OHMS, OPEN, SETUPS, VOLTS, answer_to, played

pytestmark = pytest.mark.long

ROWS = {f"m{n}" for n in range(1, 15)} | {""}
LIKELY_ROWS = {"m8", "m12", "m13"}


@given(SETUPS, st.data())
def test_it_ends_in_a_known_row_within_its_steps(
    setup: Setup, data: st.DataObject
) -> None:
    taken, position = played(setup, data)
    assert position.result is not None
    assert position.result.row in ROWS
    assert position.result.reasons
    assert len({one.step for one in taken}) == len(taken)


@given(SETUPS, st.data())
def test_bad_in_circuit_is_likely_and_only_by_gate_or_high_side(
    setup: Setup, data: st.DataObject
) -> None:
    _taken, position = played(replace(setup, is_lifted=False), data)
    assert position.result is not None
    if position.result.word == "bad":
        assert position.result.row in {"m12", "m13"}
    assert position.result.is_likely == (position.result.row in LIKELY_ROWS)


@given(SETUPS, st.data())
def test_only_a_settled_part_is_called_good_or_bad(
    setup: Setup, data: st.DataObject
) -> None:
    _taken, position = played(setup, data)
    assert position.result is not None
    is_settled = position.result.word in {"good", "bad"}
    assert is_settled or position.result.settle


UNASKED = st.dictionaries(
    st.sampled_from(["gate_drain", "reverse_again", "core_ohms", "charge", "x"]),
    st.one_of(OPEN, VOLTS, OHMS),
)


@given(SETUPS, st.data(), UNASKED)
def test_a_settled_result_is_not_changed_by_what_was_never_asked(
    setup: Setup, data: st.DataObject, unasked: Mapping[str, Answer]
) -> None:
    taken, position = played(setup, data)
    asked = {one.step for one in taken}
    more = [Taken(step, said) for step, said in unasked.items() if step not in asked]
    assert mosfet.outcome(setup, [*more, *taken]) == position.result
    assert mosfet.outcome(setup, [*taken, *taken]) == position.result


@given(SETUPS, st.data())
def test_n_and_p_mirror_each_other(setup: Setup, data: st.DataObject) -> None:
    n, p = replace(setup, channel=Channel.N), replace(setup, channel=Channel.P)
    taken, position = played(n, data)
    mirrored = mosfet.position(p, taken)
    assert mirrored.result == position.result
    for (ask, _), (other, _) in zip(position.answered, mirrored.answered, strict=True):
        is_read_alike = ask.mode is Mode.OHMS and ask.step.endswith("_joined")
        if not is_read_alike:
            assert (ask.red, ask.black) == (other.black, other.red)


@given(SETUPS, st.data())
def test_a_channel_found_is_as_good_as_one_told(
    setup: Setup, data: st.DataObject
) -> None:
    """With the conducting direction clear, not to know the channel costs nothing."""
    forward = data.draw(st.floats(0.30, 0.75))
    told, unknown = (
        replace(setup, channel=one) for one in (Channel.N, Channel.UNKNOWN)
    )
    fixed = {"forward": Answer(Said.VALUE, forward, "V"), "reverse": Answer(Said.OPEN)}
    taken: list[Taken] = []
    while (ask := mosfet.next_step(told, taken)) is not None:
        answer = fixed.get(ask.step) or answer_to(ask, data)
        taken.append(Taken(ask.step, answer))
    assert mosfet.outcome(unknown, taken) == mosfet.outcome(told, taken)
