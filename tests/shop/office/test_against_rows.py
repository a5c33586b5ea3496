"""Every figure of money and quality, against a slow reckoning of every row.

The sections are read as a reader has them: their tables, by their columns' codes.
"""

import random
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone

from diagnostics import bridge, revisions
from diagnostics.models import Advice, Finding, Intervention
from shop.desk.management.commands.demo import SCENARIO
from shop.desk.scenario import tell
from shop.money import Money
from shop.office.asked import Asked
from shop.office.money.page import sections as money
from shop.office.quality.page import sections as quality
from shop.office.sections import Section
from shop.people.models import Shop
from shop.records.cache import cache
from tests.shop.office import by_hand


def a_year(now: Any) -> Asked:
    return Asked(now - timedelta(days=365), now, now)


@pytest.mark.django_db
def test_the_told_days() -> None:
    """The told year is held to the same where it is told (desk/test_year.py)."""
    shop = tell(SCENARIO, now=timezone.now())
    shop.terms.update(cost_rate_minor=3400)
    some_advice()
    holds(shop, a_year(timezone.now()))


def some_advice() -> None:
    """Before each repair, since no cloud says any in the tests."""
    chance = random.Random(7)
    for finding in Finding.objects.filter(is_proven=True, cause="part"):
        repair = Intervention.objects.get(board=finding.board, epoch=finding.epoch)
        right = {"part": finding.part_id, "mode": finding.mode_id, "p": chance.random()}
        other = {"part": "p.other", "mode": "open", "p": 0.1}
        suspects = [right, other] if chance.random() < 0.7 else [other, right]
        Advice.objects.create(
            board=finding.board,
            ticket=finding.ticket,
            moment=Advice.Moment.SUSPECT_NAMED,
            suspects=suspects,
            something_else=0.0,
            reading_ids=[],
            engine_version="1",
            family_hash="",
            at=repair.at - timedelta(seconds=1),
        )


def holds(shop: Shop, asked: Asked) -> None:
    cache.clear()
    of_money = {one.code: one for one in money(shop, asked)}
    of_quality = {one.code: one for one in quality(shop, asked)}
    the_flow(shop, asked, of_money)
    the_quotes(shop, asked, of_money)
    the_margins(shop, asked, of_money)
    the_hours(shop, asked, of_money)
    the_repairs(shop, asked, of_quality)
    the_ends(shop, asked, of_quality)
    the_suspects(shop, asked, of_quality)


def rows(section: Section) -> list[dict[str, Any]]:
    codes = [column.code for column in section.table.columns]
    return [dict(zip(codes, row, strict=True)) for row in section.table.rows]


def minor(amount: Any, currency: str = "EUR") -> int:
    return Money.of(amount, currency).minor


def the_flow(shop: Shop, asked: Asked, found: dict[str, Section]) -> None:
    invoiced, paid = by_hand.flow(shop, asked)
    told = rows(found["invoiced"])
    assert [minor(one["invoiced"]) for one in told if one["invoiced"]] == [
        invoiced[key] for key in sorted(invoiced) if invoiced[key]
    ]
    assert [minor(one["paid"]) for one in told if one["paid"]] == [
        paid[key] for key in sorted(paid) if paid[key]
    ]
    owing = sum(minor(one["owed"]) for one in rows(found["owing"]))
    assert owing == by_hand.owing(shop)
    held = {one["ticket"]: minor(one["held"]) for one in rows(found["deposits"])}
    assert held == by_hand.held(shop)


def the_quotes(shop: Shop, asked: Asked, found: dict[str, Section]) -> None:
    quotes = by_hand.quotes(shop, asked)
    decided = sum(map(len, quotes.values()))
    if not decided:
        assert found["quotes"].table.rows == []
        return
    (row,) = rows(found["quotes"])
    counts = (row["accepted"], row["declined"], row["expired"], row["decided"])
    assert counts == (*(len(one) for one in quotes.values()), decided)
    whole = sum(map(sum, quotes.values()))
    assert minor(row["accepted_value"]) == sum(quotes["yes"])
    assert minor(row["decided_value"]) == whole
    if decided >= 3:
        assert row["percent"] == round(100 * len(quotes["yes"]) / decided, 1)
        assert (row["low"], row["high"]) == by_hand.interval(
            len(quotes["yes"]), decided
        )
        assert row["percent_value"] == round(100 * sum(quotes["yes"]) / whole, 1)


def the_margins(shop: Shop, asked: Asked, found: dict[str, Section]) -> None:
    margins = by_hand.margins(shop, asked)
    told = {one["board_model"]: one for one in rows(found["margin"])}
    worth = {one["board_model"]: one for one in rows(found["worth"])}
    models = {m.pk: f"{m.name}, {m.number}" for m in shop.board_models.all()}
    assert len(told) == sum(one["tickets"] > 0 for one in margins.values())
    for pk, sums in margins.items():
        name = models.get(pk or 0, "no board, or boards of several models")
        row = told[name]
        assert row["tickets"] == sums["tickets"]
        assert minor(row["invoiced"]) == sums["net"]
        assert minor(row["parts"]) == sums["parts"]
        assert abs(minor(row["labour"]) - sums["labour"]) <= 0.5
        assert row["hours"] == round(sums["minutes"] / 60, 2)
        left = sums["net"] - sums["parts"] - sums["labour"]
        if sums["tickets"] < 3:
            assert row["margin"] is None
            assert row["left_each"] is None
        elif sums["net"]:
            assert abs(row["margin"] - 100 * left / sums["net"]) <= 0.6
        if pk is not None:
            assert worth[name]["closed"] == sums["closed"]
            if sums["closed"] >= 3:
                assert worth[name]["fixed"] == round(
                    100 * sums["fixed"] / sums["closed"], 1
                )
    losing = by_hand.losing(shop, asked)
    assert len(found["costly"].table.rows) == min(10, len(losing))
    assert {one["ticket"] for one in rows(found["costly"])} <= losing


def the_hours(shop: Shop, asked: Asked, found: dict[str, Section]) -> None:
    logged, billed = by_hand.hours(shop, asked)
    told = rows(found["hours"])
    people = [one for one in told if one["technician"] != "all"]
    every = [one for one in told if one["technician"] == "all"]
    assert len(people) == len(logged)
    assert [one["logged"] for one in people] == [
        pytest.approx(logged[one["technician"], one["kind"].lower()] / 60, abs=0.006)
        for one in people
    ]
    assert [one["billed"] for one in people] == [
        pytest.approx(billed[one["technician"], one["kind"].lower()] / 60, abs=0.006)
        for one in people
    ]
    for one in every:
        kind = one["kind"].lower()
        whole = sum(minutes for (_who, own), minutes in logged.items() if own == kind)
        assert one["logged"] == pytest.approx(whole / 60, abs=0.006)
    whole, no_fix, warranty = by_hand.lost(shop, asked)
    lost = rows(found["lost"])
    for code, minutes in (
        ("logged", whole),
        ("no_fix", no_fix),
        ("warranty", warranty),
    ):
        assert sum(one[code] for one in lost) == pytest.approx(minutes / 60, abs=0.03)


def the_repairs(shop: Shop, asked: Asked, found: dict[str, Section]) -> None:
    held = by_hand.held_through(shop, asked)
    told = rows(found["first_time"])
    if not told:
        assert held["run"] + held["young"] == 0
        return
    whole, *spans = [one for one in told if one["group"] == "All"]
    for row, code in ((whole, "counted"), (whole, "young"), (whole, "young_back")):
        assert row[code] == held[{"counted": "run"}.get(code, code)]
        assert row[code] == sum(one[code] for one in spans)
    assert whole["held"] == held["run"] - held["back"]
    if held["run"] >= 3:
        assert (whole["low"], whole["high"]) == by_hand.interval(
            whole["held"], held["run"]
        )
    shares = rows(found["return_shares"])
    for by in ("technician", "cause"):
        own = [one for one in shares if one["by"] == by]
        assert sum(one["counted"] for one in own) == held["run"]
        assert sum(one["back"] for one in own) == held["back"]
    counted = sum(one["counted"] == "yes" for one in rows(found["returns"]))
    assert counted == held["back"] + held["young_back"]


def the_ends(shop: Shop, asked: Asked, found: dict[str, Section]) -> None:
    tickets = by_hand.closed(shop, asked)
    not_mended = [one for one in tickets if by_hand.outcome(one)[0] == "no_fix"]
    first, *each = rows(found["no_fix"])
    assert (first["tickets"], first["closed"]) == (len(not_mended), len(tickets))
    assert sum(one["tickets"] for one in each) == len(not_mended)


def the_suspects(shop: Shop, asked: Asked, found: dict[str, Section]) -> None:
    forecasts = by_hand.forecasts(shop, asked)
    right = sum(one["right"] for one in forecasts)
    told = rows(found["first_suspect"])
    if not forecasts:
        assert told == []
        return
    assert (told[0]["repairs"], told[0]["right"]) == (len(forecasts), right)
    classes = rows(found["calibration"])
    assert sum(one["repairs"] for one in classes) == len(forecasts)
    assert sum(one["right"] for one in classes) == right
    said = sum(one["said"] * one["repairs"] for one in classes) / 100
    assert said == pytest.approx(sum(one["share"] for one in forecasts), abs=0.05)
    the_minutes(forecasts, rows(found["saved"]))


def the_minutes(forecasts: list[dict[str, Any]], told: list[dict[str, Any]]) -> None:
    """By the family's data: the checks of the walk, and the points of a check."""
    measured = [one for one in forecasts if one["points"]]
    taken = walked = 0.0
    for one in measured:
        patches = revisions.patches_of(one["model"])
        board = bridge.engine_board(one["model"].family, patches)
        for stage in board.family.stages:
            for check_id in board.family.walks.get(stage.id, ()):
                check = board.checks[check_id]
                fitted = [p for p in check.points if board.is_fitted(p.id)]
                if fitted and not check.is_on_request:
                    walked += check.minutes
        for point_id in one["points"]:
            check = board.checks[board.points[point_id].check]
            taken += check.minutes / len(
                [p for p in check.points if board.is_fitted(p.id)]
            )
    if len(measured) >= 3:
        n = len(measured)
        assert told[0]["repairs"] == n
        assert told[0]["taken"] == pytest.approx(taken / n, abs=0.06)
        assert told[0]["walk"] == pytest.approx(walked / n, abs=0.06)
        assert told[0]["saved"] == pytest.approx((walked - taken) / n, abs=0.11)
