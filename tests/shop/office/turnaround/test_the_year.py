"""Every figure of the page on the demo's year, made again by hand from raw rows."""

from collections import Counter, defaultdict
from datetime import datetime, timedelta
from statistics import fmean
from typing import Any

import pytest
from django.utils import timezone

from shop.office.asked import Asked
from shop.office.sections import Section
from shop.office.turnaround import counting
from shop.office.turnaround.page import sections
from shop.people.models import Shop
from tests.shop.office.turnaround.by_hand import (
    PLACES,
    Way,
    moment,
    product_limit,
    rows,
    walked,
    ways,
    whole,
)

DAY = 86400
TURNS = {
    "ours": ("queue", "hands", "parked"),
    "customer": ("customer",),
    "supplier": ("supplier",),
    "handover": ("handover",),
}
near = pytest.approx


@pytest.mark.one_database
def test_every_figure_is_what_the_raw_rows_say(told_year: Shop) -> None:
    now, shop = timezone.now(), told_year
    assert counting.days_count(lambda: True) > 40
    by_hand = ways(now)
    since, until = now - timedelta(days=365), now
    found = {s.code: s for s in sections(shop, Asked(since, until, now))}
    the_kept_rows(by_hand)
    for warranty in (False, True):
        the_days(found["days"], by_hand, since, until, warranty)
    the_back(found["back"], by_hand, since, until, now)
    the_open(found["open"], by_hand, now)
    the_weeks(shop, found["weeks"], by_hand)
    the_first(found["first"], by_hand, since, until, now)
    the_groups(found, by_hand, since, until, now)
    the_balance(found["balance"], by_hand, since, until)
    every_table_shows_its_picture(found)


def table(section: Section) -> list[list[Any]]:
    return [list(row) for row in section.table.rows]


def cells(section: Section, place: int = 0) -> dict[str, Any]:
    codes = [column.code for column in section.table.columns]
    return dict(zip(codes, table(section)[place], strict=True))


def the_kept_rows(by_hand: dict[int, Way]) -> None:
    kept = {row["ticket_id"]: row for row in rows("SELECT * FROM office_ticketdays")}
    assert kept.keys() == by_hand.keys()
    closed = [pk for pk, way in by_hand.items() if way.closed is not None]
    assert len(closed) > 30
    for pk in closed:
        way = by_hand[pk]
        assert way.closed is not None
        assert [kept[pk][place] for place in PLACES] == list(way.spent.values())
        assert sum(way.spent.values()) == way.closed - way.opened
        assert (kept[pk]["opened"], kept[pk]["closed"]) == (way.opened, way.closed)


def closed_in(
    by_hand: dict[int, Way], since: datetime, until: datetime, warranty: bool = False
) -> list[Way]:
    return [
        way
        for way in by_hand.values()
        if way.closed is not None
        and whole(since) <= way.closed < whole(until)
        and way.is_warranty == warranty
    ]


def took(way: Way) -> float:
    assert way.closed is not None
    return (way.closed - way.opened) / DAY


def the_days(
    section: Section,
    by_hand: dict[int, Way],
    since: datetime,
    until: datetime,
    warranty: bool,
) -> None:
    told = closed_in(by_hand, since, until, warranty)
    row = cells(section, -1 if warranty else 0)
    assert row["closed"] == len(told)
    if len(told) < 3:
        assert row["total"] is None
        return
    days = sorted(took(way) for way in told)
    for place in PLACES:
        assert row[place] == near(fmean(way.spent[place] for way in told) / DAY)
    assert row["total"] == near(fmean(days))
    assert row["total"] == near(sum(row[place] for place in PLACES))
    assert row["half"] == near(days[(len(days) + 1) // 2 - 1])
    assert row["nine_in_ten"] == near(days[-(-9 * len(days) // 10) - 1])


def followed(way: Way, now: datetime) -> tuple[float, bool]:
    if way.closed is None:
        return (whole(now) - way.opened) / DAY, False
    return took(way), True


def taken_in(by_hand: dict[int, Way], since: datetime, until: datetime) -> list[int]:
    return [
        pk
        for pk, way in by_hand.items()
        if whole(since) <= way.opened < whole(until) and not way.is_warranty
    ]


def the_back(
    section: Section,
    by_hand: dict[int, Way],
    since: datetime,
    until: datetime,
    now: datetime,
) -> None:
    told = [followed(by_hand[pk], now) for pk in taken_in(by_hand, since, until)]
    assert f"{len(told)} tickets" in section.says
    half = product_limit(told, 0.5)
    assert half is not None
    assert f"Half are back in {int(half + 0.5)} days" in section.says
    usual = [row for row in table(section) if row[0] == table(section)[0][0]]
    for _label, n, at, share, low, high in usual:
        assert n == len(told)
        assert product_limit(told, share / 100 - 1e-9) == near(at)
        assert low <= share <= high


def the_open(section: Section, by_hand: dict[int, Way], now: datetime) -> None:
    counts: dict[str, Counter[int]] = defaultdict(Counter)
    for way in by_hand.values():
        if way.closed is None:
            age = (whole(now) - way.opened) // DAY
            last = [n for n, end in enumerate((3, 7, 14, 30)) if age <= end]
            turn = next(t for t, places in TURNS.items() if way.place in places)
            counts[turn][last[0] if last else 4] += 1
    for turn, row in zip(TURNS, table(section), strict=True):
        assert list(row[1:6]) == [counts[turn][n] for n in range(5)]


def the_weeks(shop: Shop, section: Section, by_hand: dict[int, Way]) -> None:
    by_week = defaultdict(list)
    for way in by_hand.values():
        if way.closed is not None and not way.is_warranty:
            local = datetime.fromtimestamp(way.closed, shop.zone).date()
            by_week[local - timedelta(days=local.weekday())].append(took(way))
    for monday, closed, mean, *_rest in table(section):
        assert closed == len(by_week[monday])
        assert mean == (near(fmean(by_week[monday])) if closed else None)
    assert sum(row[1] for row in table(section)) == sum(map(len, by_week.values()))


def the_first(
    section: Section,
    by_hand: dict[int, Way],
    since: datetime,
    until: datetime,
    now: datetime,
) -> None:
    struck = {
        row["reading_id"]
        for row in rows("SELECT * FROM records_event WHERE kind = 'reading_struck'")
    }
    readings = [
        row
        for row in rows("SELECT * FROM diagnostics_reading")
        if row["mode"] in {"R", "D", "C"}
        and row["check_id"] != "k04"
        and row["id"] not in struck
    ]
    quotes = rows("SELECT ticket_id, sent_at AS taken_at FROM billing_quote")
    for label, found in (("first cold reading", readings), ("first quote", quotes)):
        first: dict[int, int] = {}
        for row in found:
            at = whole(moment(row["taken_at"]))
            first[row["ticket_id"]] = min(at, first.get(row["ticket_id"], at))
        told = []
        for pk in taken_in(by_hand, since, until):
            way = by_hand[pk]
            if pk in first:
                told.append(((first[pk] - way.opened) / DAY, True))
            elif way.closed is None:
                told.append(followed(way, now))
        shown = [row for row in table(section) if row[0] == label]
        assert shown
        for _label, n, at, share, *_band in shown:
            assert n == len(told)
            assert product_limit(told, share / 100 - 1e-9) == near(at)


def the_groups(
    found: dict[str, Section],
    by_hand: dict[int, Way],
    since: datetime,
    until: datetime,
    now: datetime,
) -> None:
    taken = defaultdict(list)
    for row in rows("SELECT * FROM records_event WHERE kind = 'board_taken'"):
        taken[row["ticket_id"]].append(row["person_id"])
    names = {row["id"]: row["name"] for row in rows("SELECT * FROM people_person")}
    families = {
        row["ticket_id"]: row["family"]
        for row in rows(
            "SELECT ticket_id, family FROM diagnostics_ticketboard t"
            " JOIN diagnostics_board b ON b.id = t.board_id"
            " JOIN diagnostics_boardmodel m ON m.id = b.board_model_id"
            " ORDER BY t.id DESC"
        )
    }
    people, kinds = defaultdict(list), defaultdict(list)
    for pk in taken_in(by_hand, since, until):
        one = followed(by_hand[pk], now)
        who = max(reversed(taken[pk]), key=taken[pk].count) if pk in taken else None
        people[names.get(who, "nobody yet")].append(one)
        kinds[families.get(pk, "")].append(one)
    for shown in table(found["technicians"]):
        told = people[shown[0]]
        assert shown[1] == len(told)
        if sum(is_done for _took, is_done in told) >= 3:
            half = product_limit(told, 0.5)
            assert shown[3] == (half if half is None else near(half))
    counts = sorted(shown[1] for shown in table(found["families"]))
    assert counts == sorted(len(told) for told in kinds.values())


def the_balance(
    section: Section, by_hand: dict[int, Way], since: datetime, until: datetime
) -> None:
    start, end = whole(since), whole(until)
    spent = [
        min(way.closed or end, end) - max(way.opened, start) for way in by_hand.values()
    ]
    row = cells(section)
    open_mean = sum(one for one in spent if one > 0) / (end - start)
    came = sum(start <= way.opened < end for way in by_hand.values())
    stay = fmean(
        took(way)
        for way in by_hand.values()
        if way.closed is not None and start <= way.closed < end
    )
    assert row["open_mean"] == f"{open_mean:.1f}"
    assert row["rate"] == f"{came / ((end - start) / DAY):.2f}"
    assert row["stay"] == near(stay)


def every_table_shows_its_picture(found: dict[str, Section]) -> None:
    assert all(table(section) for section in found.values())
    steps = [step for curve in found["back"].drawing.curves for step in curve.steps]  # type: ignore[union-attr]
    assert [row[2] for row in table(found["back"])] == [step.at for step in steps]
    assert len(found["weeks"].drawing.dots) == len(table(found["weeks"]))  # type: ignore[union-attr]


def test_the_hand_counts_a_park_that_ends_by_itself() -> None:
    """The check of the check: parked for the customer for a day of three."""
    now = datetime.fromisoformat("2026-03-04T12:00:00+00:00")
    until = (now - timedelta(days=2)).isoformat()
    told = [
        event("ticket_opened", now - timedelta(days=3)),
        event("parked", now - timedelta(days=3), waits_for="customer", until=until),
    ]
    way = walked(told, now)
    assert (way.spent["customer"], way.spent["queue"]) == (DAY, 2 * DAY)


def event(kind: str, at: datetime, **codes: str) -> dict[str, Any]:
    return {
        "kind": kind,
        "at": at,
        "codes": codes,
        "ids": {},
        "board_id": None,
        "person_id": None,
    }
