"""Loan devices: out once at a time, back once, and a deposit that is no payment."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from shop.billing import queries
from shop.billing.loan_models import LoanDevice
from shop.billing.loans import services as loans
from shop.billing.loans.queries import deposit_moves, free_devices, out_with
from shop.desk import services as desk
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from tests.shop.billing.conftest import OPENED, euro, ticket_for

NEXT_DAY = OPENED + timedelta(days=1)


@pytest.fixture
def lender(hollin_lane: Shop) -> LoanDevice:
    return loans.loan_device_keep(shop=hollin_lane, name="Loan laptop 1")


def test_it_is_out_once_and_back_once(
    job: Ticket, hollin_lane: Shop, lender: LoanDevice, tomas: Person
) -> None:
    given: dict[str, Any] = {
        "device": lender,
        "by": tomas,
        "deposit": euro("50.00"),
        "at": OPENED,
    }
    loan = loans.loan_give(ticket=job, deposit_method="cash", **given)
    assert out_with(job) == [loan]
    assert free_devices(hollin_lane) == []
    with pytest.raises(Refused, match="out already"):
        loans.loan_give(ticket=ticket_for(hollin_lane), deposit_method="cash", **given)
    with pytest.raises(Refused, match="comes back first"):
        loans.loan_device_end(device=lender)
    assert queries.balance(job).paid == euro("0")
    scratched: dict[str, Any] = {"loan": loan, "by": tomas, "at": NEXT_DAY}
    with pytest.raises(Refused, match="not given back whole"):
        loans.loan_take_back(**scratched, deposit_back=euro("30.00"))
    with pytest.raises(Refused, match="whole deposit"):
        loans.loan_take_back(**scratched, deposit_back=euro("50.01"), state="fine")
    loans.loan_take_back(**scratched, deposit_back=euro("30.00"), state="Scratched.")
    with pytest.raises(Refused, match="came back already"):
        loans.loan_take_back(**scratched)
    moves = deposit_moves(hollin_lane, OPENED, NEXT_DAY + timedelta(days=1))
    assert [(one.amount, one.method) for one in moves] == [
        (euro("50.00"), "cash"),
        (euro("-30.00"), "cash"),
    ]


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ({"deposit": euro("-1")}, "deposit"),
        ({"deposit": euro("5"), "deposit_method": ""}, "deposit_method"),
        ({"due_on": (OPENED - timedelta(days=1)).date()}, "due_on"),
    ],
)
def test_a_wrong_loan_is_refused(
    job: Ticket, lender: LoanDevice, tomas: Person, wrong: dict[str, Any], field: str
) -> None:
    with pytest.raises(Refused) as refusal:
        loans.loan_give(ticket=job, device=lender, by=tomas, at=OPENED, **wrong)
    assert refusal.value.field == field


def test_theirs_goes_out_when_ours_is_back(
    job: Ticket, lender: LoanDevice, tomas: Person, client_of: Callable[[str], Client]
) -> None:
    client = client_of("tomas")
    typed = {"device": lender.pk, "given_with": "bag", "idempotency_key": uuid4().hex}
    url = reverse("billing:loan_give", args=[job.number])
    assert client.post(url, typed).status_code == 302
    intake.outcome_record(ticket=job, by=tomas, kind="declined")
    job.refresh_from_db()
    with pytest.raises(Refused, match="still out: Loan laptop 1"):
        desk.hand_over(ticket=job, by=tomas, given_to="Ada", may_owe=True)
    loan = out_with(job)[0]
    back = reverse("billing:loan_back", args=[job.number, loan.pk])
    assert client.post(back, {"idempotency_key": uuid4().hex}).status_code == 302
    desk.hand_over(
        ticket=job, by=tomas, given_to="Ada", may_owe=True, owing_reason="by transfer"
    )
