"""A day split over tickets and kinds: by hand, and what must hold for any day."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.billing.clock_kinds import Course, kind_at, kinds_of
from shop.billing.clocks import End, Mark, Stint, What
from shop.billing.day_split import Gap, Typed, gaps_of, shares_of, silences_of
from shop.people.hours import Hours

NINE = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
FREE = Hours(UTC, {})
INES = 1


def after(minutes: float) -> datetime:
    return NINE + timedelta(minutes=minutes)


def sign(minutes: float, what: What = What.READING, ticket: int = 1) -> Mark:
    return Mark(after(minutes), what, INES, ticket, ticket)


def stint(start: float, end: float, *signs: Mark, ticket: int = 1) -> Stint:
    times = (after(start), after(end))
    return Stint(INES, ticket, ticket, *times, End.PUT_DOWN, True, signs)


def told(*stints: Stint, course: Course | None = None, **words: object) -> list[str]:
    courses = dict.fromkeys((1, 2), course or Course())
    shares = shares_of(stints, courses, **words)  # type: ignore[arg-type]
    return [f"{s.ticket} {s.kind} {s.minutes}" for s in shares]


def test_time_up_to_a_sign_is_of_its_kind() -> None:
    """Readings, then the repair that was agreed, then the readings that prove it."""
    course = Course(yes_at=after(30), works=(after(60),))
    one = stint(0, 90, sign(20), sign(60, What.WORK), sign(80))
    assert told(one, course=course) == ["1 diagnosis 20", "1 repair 40", "1 proof 30"]


@pytest.mark.parametrize(
    ("course", "what", "kind"),
    [
        (Course(), What.READING, "diagnosis"),
        (Course(yes_at=after(-1)), What.READING, "repair"),
        (Course(yes_at=after(1)), What.READING, "diagnosis"),
        (Course(works=(after(-9), after(9))), What.READING, "repair"),
        (Course(works=(after(-9),)), What.READING, "proof"),
        (Course(), What.PROOF, "proof"),
        (Course(works=(after(-9), after(0)), proofs=(after(-5),)), What.WORK, "rework"),
        (Course(works=(after(-9), after(5)), proofs=(after(-5),)), What.SEEN, "rework"),
        (Course(is_covered=True), What.WORK, "warranty"),
    ],
)
def test_what_kind_a_sign_speaks_of(course: Course, what: What, kind: str) -> None:
    assert kind_at(course, what, NINE) == kind


def test_minutes_typed_by_hand_are_not_proposed_again() -> None:
    one = stint(0, 60)
    assert told(one, typed=[Typed(1, "diagnosis", 45)]) == ["1 diagnosis 15"]
    assert told(one, typed=[Typed(1, "repair", 45)]) == ["1 diagnosis 15"]
    assert told(one, typed=[Typed(2, "diagnosis", 45)]) == ["1 diagnosis 60"]
    assert told(one, typed=[Typed(1, "diagnosis", 90)]) == ["1 diagnosis 0"]


def test_what_was_confirmed_is_not_proposed_again_however_little_of_it_was_kept() -> (
    None
):
    one, late = stint(0, 60), stint(70, 90)
    assert told(one, late, seen={(1, "diagnosis"): 60}) == ["1 diagnosis 20"]
    assert told(one, seen={(1, "diagnosis"): 60}) == ["1 diagnosis 0"]


def test_two_boards_turn_by_turn_add_up_whole_minutes_at_last() -> None:
    """Three times 20.5 minutes are 61, not 60."""
    parts = [stint(n, n + 20.5) for n in (0, 30, 60)]
    assert told(*parts) == ["1 diagnosis 61"]


def test_a_reference_board_is_no_tickets_time() -> None:
    assert told(stint(0, 60, ticket=0)) == []


def test_a_running_clocks_silence_and_the_stretch_without_one_are_told() -> None:
    one, two = stint(0, 100, sign(10), sign(45)), stint(145, 160)
    assert silences_of(one) == [
        Gap(after(10), after(45), 1),
        Gap(after(45), after(100), 1),
    ]
    assert gaps_of([one, two], [], FREE) == (Gap(after(100), after(145), None),)
    assert gaps_of([one, two], [sign(120, ticket=2)], FREE) == (
        Gap(after(100), after(120), None),
        Gap(after(120), after(145), None),
    )
    assert gaps_of([], [], FREE) == ()
    assert gaps_of([one, two], [], FREE)[0].minutes == 45


lengths = st.lists(st.tuples(st.integers(0, 40), st.integers(1, 5000)), max_size=12)
typed_too = st.lists(
    st.builds(
        Typed,
        st.integers(1, 2),
        st.sampled_from(["diagnosis", "repair"]),
        st.integers(1, 300),
    ),
    max_size=4,
)


@given(lengths, typed_too, st.integers(0, 200))
def test_a_day_holds_no_more_than_has_passed(
    lengths: list[tuple[int, int]], typed: list[Typed], seen: int
) -> None:
    stints, at = list[Stint](), NINE
    for number, (pause, seconds) in enumerate(lengths):
        start = at + timedelta(minutes=pause)
        at = start + timedelta(seconds=seconds)
        ticket = 1 + number % 2
        stints.append(Stint(INES, ticket, ticket, start, at, End.PUT_DOWN, True, ()))
    shares = shares_of(
        stints,
        dict.fromkeys((1, 2), Course()),
        typed=typed,
        seen={(1, "diagnosis"): seen},
    )
    assert all(one.end <= after.start for one, after in pairwise(stints))
    assert sum(s.clock for s in shares) <= (at - NINE).total_seconds() / 60
    for share in shares:
        assert 0 <= share.minutes <= share.clock
        assert share.minutes >= share.clock - share.seen - sum(t.minutes for t in typed)


@given(st.lists(st.integers(1, 100), max_size=6))
def test_the_kinds_of_a_stint_add_up_to_it(moments: list[int]) -> None:
    signs = [sign(n, What.WORK if n % 2 else What.READING) for n in sorted(moments)]
    one = stint(0, 101, *signs)
    course = Course(works=tuple(s.at for s in signs if s.what == What.WORK))
    assert sum(kinds_of(one, course).values(), timedelta()) == one.length
