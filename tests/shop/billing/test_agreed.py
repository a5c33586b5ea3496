from collections.abc import Callable
from typing import Any

import pytest

from shop.billing import queries
from shop.billing import services as billing
from shop.intake.models import Ticket
from shop.people.models import Person, Shop
from tests.shop.billing.conftest import a_line, euro, ticket_for

Act = Callable[..., Any]


def codes(ticket: Ticket) -> list[str]:
    return [line.code for line in queries.work_lines(ticket)]


def test_without_a_word_only_the_fee_is_agreed(job: Ticket) -> None:
    agreed = queries.agreed(job)
    assert (str(agreed.source), agreed.amount) == ("fee", euro("42.00"))
    assert (agreed.used, agreed.left) == (euro("42.00"), euro("0"))


def test_a_pre_approval_goes_further(hollin_lane: Shop, work: Act) -> None:
    job = ticket_for(hollin_lane, pre_approved_minor=12000)
    work(job, "repair", 20)
    agreed = queries.agreed(job)
    assert (str(agreed.source), agreed.cap) == ("pre_approval", euro("120.00"))
    assert agreed.used == euro("82.80")  # (35.00 + 30.00 + 4.00) and 20 %
    assert agreed.left == euro("37.20")


def test_a_pre_approval_below_the_fee_leaves_the_fee(
    hollin_lane: Shop, ines: Person
) -> None:
    job = ticket_for(hollin_lane, pre_approved_minor=1000)
    assert queries.agreed(job).cap == euro("42.00")


def test_the_fee_is_taken_off_an_accepted_repair_where_that_is_the_rule(
    hollin_lane: Shop, ines: Person, answer: Act, work: Act
) -> None:
    job = ticket_for(hollin_lane, fee_rule="credited")
    work(job, "repair", 60)
    assert codes(job) == ["fee", "labour.repair", "consumables"]
    quote = billing.quote_send(ticket=job, by=ines, lines=[a_line()], at=job.opened_at)
    answer(quote, is_yes=True)
    credit = queries.work_lines(job)[-1]
    assert (credit.code, credit.net) == ("fee_credit", euro("-35.00"))
    assert credit.unit_price > 0 > credit.quantity  # EN 16931, BR-27
    assert queries.agreed(job).used == euro("76.80")


def test_a_ticket_without_a_fee_has_no_fee_line(
    hollin_lane: Shop, ines: Person
) -> None:
    job = ticket_for(hollin_lane, diagnosis_fee_minor=0, fee_rule="credited")
    assert codes(job) == []
    assert queries.agreed(job).cap == euro("0")
    drafted = [line.code for line in queries.draft_lines(job)]
    assert drafted == ["labour.repair", "consumables"]


def test_a_shop_without_consumables_bills_none(
    job: Ticket, hollin_lane: Shop, work: Act
) -> None:
    hollin_lane.terms.update(consumables_minor=0)
    work(job, "repair", 15)
    assert codes(job) == ["fee", "labour.repair"]


def test_diagnosis_beyond_the_fee_is_billed(job: Ticket, work: Act) -> None:
    work(job, "diagnosis", 30)
    work(job, "diagnosis", 20)
    line = queries.work_lines(job)[1]
    assert (line.text, int(line.quantity)) == ("Diagnosis beyond the fee", 15)


def test_warranty_work_costs_nothing_and_is_on_the_bill(
    hollin_lane: Shop, work: Act
) -> None:
    job = ticket_for(hollin_lane, diagnosis_fee_minor=0)
    work(job, "warranty", 50)
    (line,) = queries.work_lines(job)
    assert (line.code, int(line.quantity), line.net) == (
        "labour.warranty",
        50,
        euro("0"),
    )


def test_machine_time_is_not_on_the_bill(job: Ticket, work: Act) -> None:
    work(job, "machine", 600)
    assert codes(job) == ["fee"]


def test_a_fixed_price_is_billed_as_quoted_once_accepted(
    job: Ticket, send: Act, answer: Act
) -> None:
    quote = send(lines=[a_line("50.00", code="fixed", text="Cleaning")])
    assert codes(job) == ["fee"]
    answer(quote, is_yes=True)
    assert codes(job) == ["fee", "fixed"]


@pytest.mark.parametrize(
    ("rule", "last"), [("kept", "consumables"), ("credited", "fee_credit")]
)
def test_a_quote_starts_from_the_work_and_an_hour_of_repair(
    hollin_lane: Shop, ines: Person, rule: str, last: str
) -> None:
    job = ticket_for(hollin_lane, fee_rule=rule)
    lines = queries.draft_lines(job)
    assert [line.code for line in lines][:3] == ["fee", "labour.repair", "consumables"]
    assert lines[-1].code == last
    assert lines[1].net == euro("60.00")


def test_a_quote_starts_from_the_repair_that_was_logged(job: Ticket, work: Act) -> None:
    work(job, "repair", 20)
    lines = queries.draft_lines(job)
    assert [(line.code, str(line.quantity)) for line in lines] == [
        ("fee", "1"),
        ("labour.repair", "30"),
        ("consumables", "1"),
    ]
