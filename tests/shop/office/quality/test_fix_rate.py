"""First-time fix: who counts, what is too young, and which fault came back."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.office.quality.fix_rate import Fault, Held, fault_of, is_return

DAY = date(2026, 3, 2)


@st.composite
def held(draw: st.DrawFn) -> Held:
    run, young = draw(st.integers(0, 30)), draw(st.integers(0, 30))
    back, later = draw(st.integers(0, run)), draw(st.integers(0, young))
    return Held(run, back, young, later)


def test_the_young_stand_apart() -> None:
    """Ten have run, one of them came back; five more say nothing yet."""
    found = Held(run=10, back=1, young=5, young_back=1)
    assert (found.first_time.k, found.first_time.n) == (9, 10)
    assert (found.returned.k, found.returned.n) == (1, 10)
    assert (found.so_far.k, found.so_far.n) == (13, 15)


@given(held())
def test_held_and_returned_are_all(one: Held) -> None:
    assert one.first_time.k + one.returned.k == one.run
    assert one.closed == one.run + one.young


@given(held(), held())
def test_groups_add_up(one: Held, other: Held) -> None:
    both = one + other
    assert both.first_time == one.first_time + other.first_time
    assert both.so_far == one.so_far + other.so_far


@pytest.mark.parametrize(
    ("before", "after", "fault"),
    [
        ({"p.cmain"}, {"p.cmain"}, Fault.SAME),
        ({"p.cmain", "p.ec"}, {"p.dual", "p.ec"}, Fault.SAME),
        ({"p.cmain"}, {"p.ec"}, Fault.NEW),
        ({"p.cmain"}, set(), Fault.UNTOLD),
        (set(), {"p.ec"}, Fault.UNTOLD),
    ],
)
def test_which_fault(before: set[str], after: set[str], fault: Fault) -> None:
    assert fault_of(before, after) == fault


@pytest.mark.parametrize(
    ("opened", "is_covered", "counts"),
    [
        (DAY, None, True),
        (DAY, True, True),
        (DAY, False, False),
        (DAY.replace(day=3), True, False),
        (DAY.replace(day=1), None, True),
    ],
)
def test_a_return_comes_inside_the_warranty_and_is_not_refused(
    opened: date, is_covered: bool | None, counts: bool
) -> None:
    assert is_return(opened, DAY, is_covered=is_covered) is counts
