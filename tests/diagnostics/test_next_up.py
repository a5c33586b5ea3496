"""Which job comes next, held to Jackson's rule of 1955 by trying every order."""

from datetime import UTC, date, datetime, timedelta
from itertools import permutations

from hypothesis import given
from hypothesis import strategies as st

from diagnostics import next_up
from diagnostics.next_up import Job

TODAY = date(2026, 3, 2)
NOW = datetime(2026, 3, 2, 9, tzinfo=UTC)
jobs = st.builds(
    Job,
    since=st.integers(0, 60).map(lambda days: NOW - timedelta(days=days)),
    promised=st.none() | st.integers(-5, 20).map(lambda n: TODAY + timedelta(days=n)),
    is_warranty=st.booleans(),
    has_part=st.booleans(),
    said_yes=st.booleans(),
)


def most_late(row: list[Job]) -> int:
    """How late the latest is, one job a day from today on, in days."""
    return max(
        (TODAY + timedelta(days=place) - job.promised).days
        for place, job in enumerate(row)
        if job.promised
    )


@given(
    st.lists(jobs.filter(lambda job: job.promised is not None), min_size=1, max_size=5)
)
def test_no_other_order_leaves_the_latest_less_late(row: list[Job]) -> None:
    """Earliest due date minimizes maximum lateness on one machine: J. R. Jackson,
    "Scheduling a production line to minimize maximum tardiness", UCLA, 1955."""
    ours = most_late(sorted(row, key=next_up.order))
    assert ours == min(most_late(list(other)) for other in permutations(row))


@given(jobs, jobs)
def test_of_two_the_one_with_more_behind_it_comes_first(one: Job, two: Job) -> None:
    if one.promised == two.promised and one.is_warranty and not two.is_warranty:
        assert next_up.order(one) < next_up.order(two)
    if one.promised and not two.promised:
        assert next_up.order(one) < next_up.order(two)


def test_of_one_day_warranty_then_part_then_yes_then_the_longest() -> None:
    day = TODAY + timedelta(days=1)
    named = {
        "old": Job(NOW - timedelta(days=9), day),
        "new": Job(NOW, day),
        "yes": Job(NOW, day, said_yes=True),
        "part": Job(NOW, day, has_part=True),
        "warranty": Job(NOW, day, is_warranty=True),
        "today": Job(NOW, TODAY),
        "free": Job(NOW - timedelta(days=90), is_warranty=True),
    }
    order = sorted(named, key=lambda name: next_up.order(named[name]))
    assert order == ["today", "warranty", "part", "yes", "old", "new", "free"]


def test_the_reasons_are_told_in_the_order_in_which_they_count() -> None:
    job = Job(NOW, TODAY, is_warranty=True, has_part=True, said_yes=True)
    assert next_up.reasons(job, TODAY) == ("today", "warranty", "part_came", "said_yes")
    assert next_up.reasons(Job(NOW), TODAY) == ()
    days = {-1: "late", 1: "tomorrow", 2: "on"}
    for ahead, code in days.items():
        promised = TODAY + timedelta(days=ahead)
        assert next_up.reasons(Job(NOW, promised), TODAY) == (code,)
