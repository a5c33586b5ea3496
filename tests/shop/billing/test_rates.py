"""Rates by kind and person, flat charges, work for nothing, and the cap.

Figures by hand from domain.md section 9 and the prices of its section 12.
"""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.utils import timezone

from shop.billing import queries
from shop.billing import services as billing
from shop.billing import work as working
from shop.billing.estimate.panels import comparison_of
from shop.billing.models import TimeEntry
from shop.billing.rates import lines as added
from shop.billing.rates.charges import charges_of
from shop.billing.rates.free import goodwill_decide
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.people.models import FixedJob, LabourRate, Person, Shop
from shop.people.terms_services import terms_set
from shop.records.errors import Refused
from tests.shop.billing.conftest import OPENED, a_line, euro, ticket_for

Act = Callable[..., Any]


def shown(ticket: Ticket) -> list[tuple[str, str, str]]:
    return [
        (line.code, str(line.quantity), str(line.net.amount))
        for line in queries.work_lines(ticket)
    ]


def logged(ticket: Ticket, person: Person, kind: str, *minutes: int) -> None:
    for count in minutes:
        billing.time_record(
            ticket=ticket,
            by=person,
            person=person,
            kind=kind,
            minutes=count,
            started_at=OPENED + timedelta(hours=4),
        )


def test_labour_is_rounded_once_for_each_kind_and_rate(
    job: Ticket, hollin_lane: Shop, ines: Person, sami: Person
) -> None:
    """7 + 9 + 20 = 36 -> 45 min at 60 (domain.md 9); another rate rounds by itself."""
    terms = hollin_lane.terms.get()
    LabourRate.objects.create(terms=terms, kind="proof", rate_minor=8000)
    LabourRate.objects.create(terms=terms, person=sami, rate_minor=9000)
    LabourRate.objects.create(terms=terms, kind="repair", person=sami, rate_minor=10000)
    logged(job, ines, "repair", 7, 9, 20)
    logged(job, sami, "repair", 10)
    logged(job, ines, "proof", 20)
    logged(job, sami, "proof", 20)
    assert shown(job) == [
        ("fee", "1", "35.00"),
        ("labour.repair", "15", "25.00"),
        ("labour.repair", "45", "45.00"),
        ("labour.proof", "30", "45.00"),
        ("labour.proof", "30", "40.00"),
        ("consumables", "1", "4.00"),
    ]


def test_a_ticket_keeps_the_rates_of_its_day(
    job: Ticket, hollin_lane: Shop, marit: Person, ines: Person
) -> None:
    seen = hollin_lane.terms.get().pk
    terms_set(shop=hollin_lane, by=marit, seen=seen, hourly_rate_minor=9000)
    logged(job, ines, "repair", 30)
    assert shown(job)[1] == ("labour.repair", "30", "30.00")
    assert charges_of(job).hourly == 60
    later = ticket_for(hollin_lane, opened_at=timezone.now())
    assert charges_of(later).hourly == 90


def test_the_minimum_and_express_come_on_top_of_labour(
    hollin_lane: Shop, ines: Person
) -> None:
    """30.00 of labour up to 40.00, and 30 % on that; the fee bears none of it."""
    hollin_lane.terms.update(minimum_minor=4000)
    job = ticket_for(hollin_lane, express_percent=30)
    logged(job, ines, "repair", 20)
    assert shown(job)[1:] == [
        ("labour.repair", "30", "30.00"),
        ("minimum", "1", "10.00"),
        ("express", "1", "12.00"),
        ("consumables", "1", "4.00"),
    ]


@pytest.fixture
def cleaning(hollin_lane: Shop) -> FixedJob:
    return FixedJob.objects.create(
        terms=hollin_lane.terms.get(), name="Cleaning", price_minor=4900, minutes=30
    )


@pytest.mark.parametrize(
    ("quoted_minutes", "billed"), [(0, []), (60, [("labour.repair", "75", "75.00")])]
)
def test_a_fixed_job_has_its_price_whatever_it_takes(
    job: Ticket,
    cleaning: FixedJob,
    ines: Person,
    send: Act,
    answer: Act,
    quoted_minutes: int,
    billed: list[tuple[str, str, str]],
) -> None:
    """100 min: all in the price; beside an hour quoted, all but its usual 30."""
    prices = working.Prices.of(job, OPENED)
    lines = [added.fixed_job_line(cleaning, prices)]
    if quoted_minutes:
        lines.append(
            prices.line("labour.repair", "Repair", prices.hourly_rate, quantity=60)
        )
    answer(send(lines=lines), is_yes=True)
    logged(job, ines, "repair", 100)
    found = [row for row in shown(job) if row[0] not in {"fee", "consumables"}]
    assert found == [*billed, (f"fixed_job.{cleaning.pk}", "1", "49.00")]
    assert sum(TimeEntry.objects.values_list("minutes", flat=True)) == 100


@pytest.mark.parametrize(
    ("rule", "codes"),
    [
        ("nothing", []),
        ("fee", ["fee"]),
        ("work", ["fee", "labour.repair", "consumables"]),
    ],
)
def test_what_cannot_be_mended_is_billed_by_the_rule(
    hollin_lane: Shop, ines: Person, rule: str, codes: list[str]
) -> None:
    hollin_lane.terms.update(no_fix_rule=rule)
    job = ticket_for(hollin_lane)
    logged(job, ines, "repair", 60)
    intake.outcome_record(
        ticket=job, by=ines, kind="no_fix", no_fix_reason="uneconomic"
    )
    job.refresh_from_db()
    assert [code for code, _n, _net in shown(job)] == codes


def test_goodwill_keeps_the_work_at_no_price_and_its_cost(
    job: Ticket, hollin_lane: Shop, ines: Person, marit: Person
) -> None:
    """An hour at 34.00 and a part of 6.40 cost the shop 40.40, and nothing is due."""
    hollin_lane.terms.update(cost_rate_minor=3400)
    logged(job, ines, "repair", 60)
    billing.part_use(
        ticket=job, by=ines, name="Fuse", cost=euro("6.40"), is_in_board=True
    )
    goodwill_decide(ticket=job, by=marit, is_given=True, reason="Our own slip.")
    lines = queries.work_lines(job)
    assert [(line.text, line.net) for line in lines] == [
        ("Repair, at no charge", euro("0")),
        ("Fuse, at no charge", euro("0")),
    ]
    assert comparison_of(job).cost == euro("40.40")
    with pytest.raises(Refused, match="already"):
        goodwill_decide(ticket=job, by=marit, is_given=True, reason="Again.")
    goodwill_decide(ticket=job, by=marit, is_given=False, reason="It was not ours.")
    assert shown(job)[0] == ("fee", "1", "35.00")


def test_a_part_beyond_the_cap_waits_for_a_yes(
    job: Ticket, ines: Person, send: Act, answer: Act
) -> None:
    """83.33 net and 20 % is 100.00, the cap 110.00: a part of 60.00 has no room."""
    answer(send("83.33"), is_yes=True)
    part: dict[str, Any] = {
        "ticket": job,
        "by": ines,
        "name": "Chip",
        "cost": euro("1"),
    }
    part["price"] = euro("60.00")
    with pytest.raises(Refused) as refusal:
        billing.part_use(**part)
    assert refusal.value.field == "is_in_board"
    assert "114.00" in str(refusal.value)
    assert not job.part_uses.exists()
    billing.part_use(**part, is_in_board=True)
    assert queries.agreed(job).left == euro("-8.80")  # (35 + 60 + 4) and 20 %


def test_minutes_beyond_the_cap_are_kept_and_not_billed(
    job: Ticket, ines: Person, send: Act, answer: Act, issue: Act
) -> None:
    """35 + 150 + 4 = 189.00, with tax 226.80; agreed to 132.00: 79.00 net are off."""
    answer(send("100.00"), is_yes=True)
    logged(job, ines, "repair", 150)
    with pytest.raises(Refused, match="send a new quote first"):
        issue(job)
    invoice = issue(job, is_up_to_cap=True)
    assert invoice.total == euro("132.00")
    last = invoice.lines.get(code="beyond")
    assert (last.net, last.quantity) == (euro("-79.00"), Decimal(-1))
    assert sum(job.time_entries.values_list("minutes", flat=True)) == 150


def test_quoted_done_and_billed_stand_beside_each_other(
    job: Ticket, ines: Person, send: Act, answer: Act, issue: Act
) -> None:
    """Case A of domain.md 12: 60 quoted, 55 worked, 60 billed; the part is 2.00."""
    quoted = [*queries.draft_lines(job), a_line("2.00", code="part", text="Capacitor")]
    answer(send(lines=quoted), is_yes=True)
    logged(job, ines, "diagnosis", 40)
    logged(job, ines, "repair", 55)
    billing.part_use(ticket=job, by=ines, name="Capacitor", cost=euro("0.30"))
    before = comparison_of(job)
    assert (before.minutes.quoted, before.minutes.actual) == (60, 55)
    assert (before.minutes.billed, before.minutes_over) == (None, -5)
    issue(job)
    after = comparison_of(job)
    assert (after.minutes.billed, after.parts.billed) == (60, euro("2.00"))
    assert after.net.quoted == after.net.actual == after.net.billed == euro("101.00")


def test_an_invoice_after_a_no_bills_the_fee_alone(
    job: Ticket, ines: Person, send: Act, answer: Act, issue: Act
) -> None:
    logged(job, ines, "repair", 60)
    answer(send("100.00"), is_yes=False)
    assert issue(job).total == euro("42.00")
