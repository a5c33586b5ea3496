"""Each list's rule by cases: its edge on both sides, and facts that make no sense."""

from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.intake.facts import Happened
from shop.intake.turn import Turn, whose_turn
from shop.office.acting.rules import (
    Done,
    Open,
    Paper,
    Why,
    is_billable,
    long_owed,
    not_collected,
    promises,
    sums,
    to_go_on,
    unanswered,
    unbilled,
    untouched,
)
from shop.records.kinds import Kind

NOW = datetime(2026, 3, 12, 15, 0, tzinfo=UTC)  # a Thursday
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
THREE = 3 * DAY


def turn(*told: tuple[Kind, timedelta, dict[str, Any]]) -> Turn:
    """Opened ten days ago, then what is told, each so long ago."""
    events = [Happened(Kind.TICKET_OPENED, NOW - 10 * DAY, {}, {"number": "1"})]
    events += [
        Happened(kind, NOW - ago, codes, codes.get("ids", {}), 1, 7)
        for kind, ago, codes in told
    ]
    return whose_turn(events, NOW)


def promised(by: datetime) -> tuple[Kind, timedelta, dict[str, Any]]:
    return Kind.PROMISE_MADE, 9 * DAY, {"promise": by.isoformat()}


def ordered(due: str | None) -> tuple[Kind, timedelta, dict[str, Any]]:
    return Kind.PART_ORDERED, 8 * DAY, {"due_on": due, "ids": {"order_line": 5}}


PARKED = Kind.PARKED, 2 * DAY, {"waits_for": "resting", "because": "drying"}


def why(*told: Any, is_foretold: bool = False) -> Why | None:
    one = Open(1, turn(*told), is_foretold=is_foretold)
    found = promises([one], NOW, UTC)
    return found[0].why if found else None


def test_a_promise_is_broken_from_its_moment_on() -> None:
    assert why(promised(NOW - timedelta(minutes=1))) == Why.BROKEN
    assert why(promised(NOW + timedelta(minutes=1))) == Why.NOBODY


def test_a_promise_far_away_or_none_is_no_risk() -> None:
    assert why(promised(NOW + 8 * DAY), ordered(None)) is None
    assert why(promised(NOW + 3 * DAY)) is None
    assert why() is None


@pytest.mark.parametrize(
    ("due", "expected"),
    [
        (None, Why.NO_PART),
        ("2026-03-11", Why.NO_PART),  # due before today, and not here
        ("2026-03-12", None),
        ("2026-03-14", None),
        ("2026-03-15", Why.NO_PART),  # on the promised day itself
    ],
)
def test_a_part_that_comes_too_late(due: str | None, expected: Why | None) -> None:
    assert why(promised(NOW + 3 * DAY), ordered(due)) == expected


def test_the_day_of_a_part_is_the_shops_own() -> None:
    """Late in the evening by UTC it is the next day in Auckland."""
    at_night = NOW.replace(hour=22) + 2 * DAY
    one = Open(1, turn(promised(at_night), ordered("2026-03-14")))
    assert [p.why for p in promises([one], NOW, UTC)] == [Why.NO_PART]
    assert promises([one], NOW, ZoneInfo("Pacific/Auckland")) == []


def test_parked_beyond_its_promise() -> None:
    assert why(promised(NOW + 3 * DAY), PARKED) == Why.HELD
    kind, ago, codes = PARKED
    ends = {**codes, "until": (NOW + DAY).isoformat()}
    assert why(promised(NOW + 3 * DAY), (kind, ago, ends)) is None


def test_what_the_shops_past_foretells() -> None:
    assert why(promised(NOW + 5 * DAY), is_foretold=True) == Why.FORETOLD


def test_a_promise_that_the_customer_holds_up_is_not_ours() -> None:
    asked = Kind.QUOTE_SENT, 4 * DAY, {"ids": {"version": 1}}
    assert why(promised(NOW - DAY), asked) is None


def test_what_breaks_first_stands_on_top() -> None:
    days = (5, -1, -3)
    tickets = [
        Open(n, turn(promised(NOW + day * DAY), ordered(None)))
        for n, day in enumerate(days)
    ]
    assert [one.pk for one in promises(tickets, NOW, UTC)] == [2, 1, 0]


def asked(ago: timedelta) -> Open:
    return Open(1, turn((Kind.QUOTE_SENT, ago, {"ids": {"version": 1}})))


def test_more_than_three_days_is_more_than_three_days() -> None:
    assert untouched([Open(1, turn())], NOW, 10 * DAY) == []
    assert untouched([Open(1, turn())], NOW, 10 * DAY - HOUR)
    assert unanswered([asked(THREE)], NOW, THREE) == []
    assert unanswered([asked(THREE + HOUR)], NOW, THREE)


def test_what_somebody_has_in_hand_is_not_in_the_queue() -> None:
    held = Open(1, turn((Kind.BOARD_TAKEN, 5 * DAY, {})))
    assert untouched([held], NOW, THREE) == []
    taken: Any = (Kind.BOARD_TAKEN, 5 * DAY, {})
    left = Open(1, turn(taken, (Kind.BOARD_PUT_DOWN, 4 * DAY, {})))
    assert untouched([left], NOW, THREE) == [left]


def yes(*more: Any) -> Open:
    told = [
        (Kind.QUOTE_SENT, 6 * DAY, {"ids": {"version": 1}}),
        (Kind.QUOTE_ACCEPTED, 5 * DAY, {"ids": {"version": 1}}),
    ]
    return Open(1, turn(*told, *more), said_yes=True)


def test_said_yes_and_nobody_works() -> None:
    arrived = (Kind.PART_ARRIVED, DAY, {"ids": {"order_line": 5}})
    order = (Kind.PART_ORDERED, 4 * DAY, {"ids": {"order_line": 5}})
    assert to_go_on([yes()])
    assert to_go_on([yes(order)]) == [], "the part is not here"
    assert to_go_on([yes(order, arrived)])
    assert to_go_on([yes(order, arrived, (Kind.BOARD_TAKEN, HOUR, {}))]) == []
    without = Open(1, turn(order, arrived), said_yes=False)
    assert to_go_on([without]) == []


def test_more_that_was_found_waits_for_an_answer_too() -> None:
    park = {"waits_for": "customer", "because": "found_more"}
    one = Open(1, turn((Kind.PARKED, 5 * DAY, park)))
    assert unanswered([one], NOW, THREE) == [one]
    other = {"waits_for": "customer", "because": "deposit"}
    assert unanswered([Open(1, turn((Kind.PARKED, 5 * DAY, other)))], NOW, THREE) == []


def test_ready_with_money_owing() -> None:
    ready = turn((Kind.OUTCOME_RECORDED, DAY, {}))
    assert not_collected([Open(1, ready, owes=1)])
    assert not_collected([Open(1, ready, owes=0), Open(2, ready, owes=-5)]) == []
    assert not_collected([Open(1, turn(), owes=9)]) == [], "not ready"


# --- work on no invoice ---


def done(**facts: Any) -> Done:
    return Done(1, **{"ended_at": NOW - DAY, **facts})


@pytest.mark.parametrize(
    ("facts", "expected"),
    [
        ({}, False),
        ({"minutes": 1}, True),
        ({"minutes": -1}, False),
        ({"has_parts": True}, True),
        ({"fee": 1}, True),
        ({"minutes": 9, "covered": True}, False),
        ({"minutes": 9, "is_warranty": True, "covered": False}, True),
        ({"fee": 1, "is_warranty": True}, False),
        ({"fee": 1, "is_warranty": True, "covered": False}, True),
        ({"minutes": 9, "fee": 9, "is_goodwill": True}, False),
        ({"minutes": 9, "fee": 9, "no_fix": "nothing"}, False),
        ({"minutes": 9, "no_fix": "fee"}, False),
        ({"fee": 9, "no_fix": "fee"}, True),
        ({"minutes": 9, "no_fix": "work"}, True),
        ({"minutes": 9, "is_declined": True}, False),
        ({"fee": 9, "is_declined": True}, True),
        ({"reassembly": 9, "is_declined": True}, True),
    ],
)
def test_what_is_to_be_billed(facts: dict[str, Any], expected: bool) -> None:
    assert is_billable(done(**facts)) == expected


def test_an_accounts_work_waits_until_its_month_is_over() -> None:
    assert unbilled([done(minutes=9, billed_from=NOW + HOUR)], NOW) == []
    assert unbilled([done(minutes=9, billed_from=NOW)], NOW)


# --- money ---

TODAY = date(2026, 3, 12)


def paper(pk: int, days_late: int, currency: str = "EUR", owed: int = 100) -> Paper:
    return Paper(pk, TODAY - timedelta(days=days_late), currency, owed)


def test_owed_for_longer_longest_first() -> None:
    papers = [paper(1, 14), paper(2, 15), paper(3, 40), paper(4, -3)]
    assert [one.pk for one in long_owed(papers, TODAY, 14)] == [3, 2]


def test_amounts_of_two_currencies_are_never_added_up() -> None:
    papers = [paper(1, 20), paper(2, 20, "GBP", 30), paper(3, 20, owed=5)]
    assert sums(papers) == {"EUR": 105, "GBP": 30}
    assert sums([]) == {}


@given(st.lists(st.tuples(st.integers(-400, 400), st.integers(0, 9999))))
def test_each_paper_is_on_the_list_or_within_the_limit(
    rows: list[tuple[int, int]],
) -> None:
    papers = [paper(n, late, owed=owed) for n, (late, owed) in enumerate(rows)]
    found = {one.pk for one in long_owed(papers, TODAY, 14)}
    for one, (late, owed) in zip(papers, rows, strict=True):
        assert (one.pk in found) == (late > 14 and owed > 0)


def test_a_clock_that_went_back_breaks_nothing() -> None:
    """Events after now, or before the opening: sane, and nothing is late by it."""
    ahead = whose_turn([Happened(Kind.TICKET_OPENED, NOW + DAY)], NOW)
    early = turn((Kind.OUTCOME_RECORDED, 20 * DAY, {}))
    tickets = [Open(1, ahead), Open(2, early)]
    assert untouched(tickets, NOW, THREE) == []
    assert promises(tickets, NOW, UTC) == []
    assert unbilled([done(minutes=1, ended_at=NOW + 9 * DAY)], NOW)
