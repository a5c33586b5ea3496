"""A person's clock: by hand, and the laws that hold for any marks."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shop.billing.clocks import (
    LONGEST,
    Clocks,
    End,
    Mark,
    Stint,
    What,
    clocks_of,
)
from shop.people.hours import Hours, Span

BERLIN = ZoneInfo("Europe/Berlin")
WEEK = {day: (Span(time(9), time(17)),) for day in range(5)}
BREAK = {day: (Span(time(9), time(12)), Span(time(13), time(17))) for day in range(5)}
SHOP, NO_HOURS = Hours(BERLIN, WEEK), Hours(BERLIN, {})
INES, SAMI = 1, 2
MONDAY = date(2026, 3, 2)


def at(clock: str, day: date = MONDAY) -> datetime:
    return datetime.combine(day, time.fromisoformat(clock), BERLIN).astimezone(UTC)


def mark(clock: str, what: What, ticket: int = 2409, **words: object) -> Mark:
    fields: dict[str, object] = {"person": INES, "board": ticket} | words
    return Mark(at=at(clock), what=what, ticket=ticket, **fields)  # type: ignore[arg-type]


def clocks(*marks: Mark, until: str = "18:00", hours: Hours = SHOP) -> Clocks:
    return clocks_of(marks, hours=hours, until=at(until))


def said(found: Clocks) -> list[str]:
    return [
        f"{one.ticket} {one.start.astimezone(BERLIN):%H:%M}"
        f"-{one.end.astimezone(BERLIN):%H:%M} {one.ended}"
        for one in found.stints
    ]


def test_looking_starts_no_clock_and_leaves_a_loose_sign() -> None:
    found = clocks(mark("09:30", What.PHOTO), mark("09:31", What.READING))
    assert found.stints == ()
    assert [one.what for one in found.loose] == [What.PHOTO, What.READING]


def test_taking_another_board_moves_the_clock() -> None:
    found = clocks(
        mark("09:12", What.TAKEN),
        mark("09:40", What.READING),
        mark("10:42", What.TAKEN, 2417),
        mark("11:20", What.PUT_DOWN, 2417),
    )
    assert said(found) == ["2409 09:12-10:42 moved", "2417 10:42-11:20 put_down"]


def test_undo_gives_the_moved_span_to_the_old_ticket() -> None:
    found = clocks(
        mark("09:12", What.TAKEN, id=1),
        mark("10:42", What.PUT_DOWN, way_for=2),
        mark("10:42", What.TAKEN, 2417, id=2),
        mark("10:43", What.READING, 2417),
        mark("10:50", What.PUT_DOWN, 2417, undoes=2),
        mark("10:50", What.TAKEN, id=3, undoes=2),
        mark("11:00", What.PUT_DOWN),
    )
    assert said(found) == ["2409 09:12-11:00 put_down"]
    assert [one.ticket for one in found.loose] == [2417]


def test_undo_of_the_first_taking_of_a_day_leaves_nothing() -> None:
    found = clocks(
        mark("10:42", What.TAKEN, id=2), mark("10:50", What.PUT_DOWN, undoes=2)
    )
    assert found.stints == ()


def test_three_hours_without_a_sign_stop_it_and_the_next_sign_starts_it_anew() -> None:
    found = clocks(
        mark("09:00", What.TAKEN),
        mark("09:40", What.READING),
        mark("15:00", What.READING),
        mark("15:30", What.PUT_DOWN),
    )
    assert said(found) == ["2409 09:00-12:40 silent", "2409 15:00-15:30 put_down"]
    assert not found.stints[0].is_plain


def test_closing_time_stops_it_over_night_too() -> None:
    found = clocks(mark("16:00", What.TAKEN), until="23:00")
    assert said(found) == ["2409 16:00-17:00 closing"]
    tuesday = MONDAY + timedelta(days=1)
    reading = replace(mark("09:20", What.READING), at=at("09:20", tuesday))
    found = clocks_of(
        [mark("16:00", What.TAKEN), reading], hours=SHOP, until=at("10:00", tuesday)
    )
    assert said(found)[1:] == ["2409 09:20-10:00 running"]


def test_what_is_done_after_closing_must_be_looked_at() -> None:
    found = clocks(
        mark("16:50", What.TAKEN),
        mark("17:20", What.READING),
        mark("17:45", What.PUT_DOWN),
    )
    assert said(found) == ["2409 16:50-17:00 closing", "2409 17:20-17:45 put_down"]
    assert [one.is_plain for one in found.stints] == [False, False]


def test_the_noon_break_is_nobodys_time() -> None:
    found = clocks(
        mark("11:30", What.TAKEN),
        mark("13:40", What.PUT_DOWN),
        hours=Hours(BERLIN, BREAK),
    )
    assert said(found) == ["2409 11:30-12:00 closing", "2409 13:00-13:40 put_down"]


def test_a_shop_without_hours_has_the_day_and_the_three_hours() -> None:
    found = clocks(mark("22:00", What.TAKEN), until="23:30", hours=NO_HOURS)
    assert said(found) == ["2409 22:00-23:30 running"]
    tuesday = MONDAY + timedelta(days=1)
    late = clocks_of(
        [mark("22:00", What.TAKEN)], hours=NO_HOURS, until=at("09:00", tuesday)
    )
    assert said(late) == ["2409 22:00-00:00 midnight"]


@pytest.mark.parametrize(
    ("day", "hours"),
    [(date(2026, 3, 29), 2), (date(2026, 10, 25), 4), (date(2026, 3, 2), 3)],
)
def test_summer_time_counts_what_passes(day: date, hours: int) -> None:
    """From 1 to 4 by the wall clock on the nights that the EU's clocks change
    (directive 2000/84/EC, articles 2 and 3: last Sundays of March and October)."""
    marks = [
        Mark(at("01:00", day), What.TAKEN, INES, 2409, 1),
        Mark(at("04:00", day), What.PUT_DOWN, INES, 2409, 1),
    ]
    marks += [
        Mark(marks[0].at + timedelta(hours=n), What.NOTE, INES, 2409, 1)
        for n in range(1, hours)
    ]
    found = clocks_of(marks, hours=NO_HOURS, until=at("12:00", day))
    assert sum((s.length for s in found.stints), timedelta()) == timedelta(hours=hours)


def test_a_sign_of_a_reference_board_is_of_that_board_alone() -> None:
    found = clocks(
        mark("09:00", What.TAKEN, 0, board=7),
        mark("09:10", What.READING, 0, board=8),
        mark("09:20", What.READING, 0, board=7),
        mark("09:30", What.PUT_DOWN, 0, board=7),
    )
    assert len(found.stints[0].signs) == 1
    assert [one.board for one in found.loose] == [8]


# --- laws ---

minutes = st.integers(0, 3 * 24 * 60)
some_marks = st.lists(
    st.builds(
        lambda n, what, person, ticket: Mark(
            at("00:00") + timedelta(minutes=n), what, person, ticket, ticket, id=n
        ),
        minutes,
        st.sampled_from(list(What)),
        st.sampled_from([INES, SAMI]),
        st.integers(1, 4),
    ),
    max_size=40,
)
some_hours = st.sampled_from([SHOP, NO_HOURS, Hours(BERLIN, BREAK)])
UNTIL = at("00:00") + timedelta(days=4)


def of(found: Clocks, person: int) -> list[Stint]:
    return [one for one in found.stints if one.person == person]


def total(found: Clocks, person: int) -> timedelta:
    return sum((one.length for one in of(found, person)), timedelta())


@given(some_marks, some_hours)
def test_a_person_has_one_clock(marks: list[Mark], hours: Hours) -> None:
    found = clocks_of(marks, hours=hours, until=UNTIL)
    for person in (INES, SAMI):
        own = of(found, person)
        for one, after in pairwise(own):
            assert one.start < one.end <= after.start < after.end
        if own:
            assert total(found, person) <= own[-1].end - own[0].start


@given(some_marks, some_hours)
def test_no_stint_passes_three_silent_hours_closing_or_midnight(
    marks: list[Mark], hours: Hours
) -> None:
    for one in clocks_of(marks, hours=hours, until=UNTIL).stints:
        reached = one.start
        for moment in (*(sign.at for sign in one.signs), one.end):
            assert moment - reached <= LONGEST
            reached = moment
        days = {
            m.astimezone(BERLIN).date()
            for m in (one.start, one.end - timedelta(seconds=1))
        }
        assert len(days) == 1
        if one.ended == End.CLOSING and one.in_hours:
            assert one.end.astimezone(BERLIN).time() in {time(12), time(17)}


@settings(max_examples=50)
@given(some_marks, some_hours, st.randoms(use_true_random=False))
def test_order_and_doubles_of_marks_do_not_matter(
    marks: list[Mark], hours: Hours, random: "object"
) -> None:
    mixed = [*marks, *marks[:5]]
    random.shuffle(mixed)  # type: ignore[attr-defined]
    told = clocks_of(mixed, hours=hours, until=UNTIL)
    assert told == clocks_of(marks, hours=hours, until=UNTIL)


@given(some_marks, some_hours, some_marks)
def test_what_one_does_lengthens_no_others_clock(
    marks: list[Mark], hours: Hours, more: list[Mark]
) -> None:
    of_sami = [replace(one, person=SAMI) for one in more]
    before = clocks_of(marks, hours=hours, until=UNTIL)
    after = clocks_of([*marks, *of_sami], hours=hours, until=UNTIL)
    assert of(before, INES) == of(after, INES)


@given(some_marks, some_hours)
def test_every_sign_is_told_once(marks: list[Mark], hours: Hours) -> None:
    found = clocks_of(marks, hours=hours, until=UNTIL)
    told = [sign for one in found.stints for sign in one.signs] + list(found.loose)
    signs = {one for one in marks if one.what not in {What.TAKEN, What.PUT_DOWN}}
    assert len(told) == len(set(told))
    assert signs <= set(told)
