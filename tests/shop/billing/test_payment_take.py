from collections.abc import Callable
from typing import Any

import pytest

from shop.billing import queries
from shop.billing import services as billing
from shop.billing.models import Payment
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from shop.records.models import Event
from tests.shop.billing.conftest import OPENED, euro, ticket_for

Act = Callable[..., Any]


def test_the_fee_is_paid_at_the_counter_before_any_invoice(
    job: Ticket, pay: Act
) -> None:
    payment = pay(job, "42.00")
    assert payment.invoice is None
    assert queries.balance(job).paid == euro("42.00")
    assert queries.balance(job).due.amount == 0
    assert Event.objects.get(kind="payment_taken").amounts == {"amount": 4200}


def test_an_advance_beyond_what_is_agreed_is_refused(job: Ticket, pay: Act) -> None:
    pay(job, "40.00")
    with pytest.raises(Refused, match=r"Only 2\.00 more") as refusal:
        pay(job, "42.00")
    assert refusal.value.field == "amount"


def test_an_advance_up_to_the_accepted_cap_is_taken(
    job: Ticket, pay: Act, send: Act, answer: Act
) -> None:
    answer(send("100.00"), is_yes=True)
    assert pay(job, "132.00")


def test_a_bill_is_paid_in_parts_and_not_beyond(
    job: Ticket, pay: Act, issue: Act
) -> None:
    invoice = issue(job)
    assert pay(job, "20.00").invoice == invoice
    pay(job, "22.00")
    assert queries.balance(job).due.amount == 0
    with pytest.raises(Refused, match=r"Only 0\.00 is due"):
        pay(job, "0.01")


def test_a_payment_may_name_the_invoice(
    job: Ticket, issue: Act, hollin_lane: Shop, ines: Person
) -> None:
    invoice = issue(job)
    payment = billing.payment_take(
        shop=hollin_lane, by=ines, amount=euro("42"), method="cash", invoice=invoice
    )
    assert (payment.ticket, payment.invoice) == (job, invoice)


def test_an_invoice_taken_back_is_not_paid(
    job: Ticket, issue: Act, hollin_lane: Shop, ines: Person
) -> None:
    invoice = issue(job)
    billing.credit_note_issue(invoice=invoice, by=ines)
    with pytest.raises(Refused, match="taken back"):
        billing.payment_take(
            shop=hollin_lane, by=ines, amount=euro("1"), method="cash", invoice=invoice
        )


def test_money_goes_back_up_to_what_was_paid(job: Ticket, pay: Act) -> None:
    pay(job, "42.00")
    with pytest.raises(Refused, match=r"Only 42\.00 was paid"):
        pay(job, "-42.01", reason="Not fixed")
    with pytest.raises(Refused, match="why the money goes back") as refusal:
        pay(job, "-42.00", method="cash", reason=" ")
    assert refusal.value.field == "reason"
    back = pay(job, "-42.00", method="cash", reason="Not fixed")
    assert back.back_reason == "Not fixed"
    assert queries.paid(job).amount == 0


@pytest.mark.parametrize(
    ("amount", "words", "field"),
    [
        ("0", {}, "amount"),
        ("1", {"method": "shells"}, "method"),
    ],
)
def test_a_wrong_payment_is_refused(
    job: Ticket, pay: Act, amount: str, words: dict[str, Any], field: str
) -> None:
    with pytest.raises(Refused) as refusal:
        pay(job, amount, **words)
    assert refusal.value.field == field
    assert not Payment.objects.exists()


def test_another_currency_is_refused(
    job: Ticket, hollin_lane: Shop, ines: Person
) -> None:
    with pytest.raises(Refused, match="in EUR, not in SEK"):
        billing.payment_take(
            shop=hollin_lane,
            by=ines,
            amount=Money.of(42, "SEK"),
            method="cash",
            ticket=job,
            at=OPENED,
        )


def test_a_payment_is_for_a_ticket_of_hollin_lane(
    job: Ticket, hollin_lane: Shop, ines: Person
) -> None:
    elsewhere = Shop.objects.create(name="Elsewhere", country="ZZ", currency="EUR")
    for shop, ticket in ((elsewhere, job), (hollin_lane, None)):
        with pytest.raises(Refused, match="of this shop"):
            billing.payment_take(
                shop=shop, by=ines, amount=euro("1"), method="cash", ticket=ticket
            )


def test_what_was_paid_too_much_settles_another_ticket(
    job: Ticket, pay: Act, issue: Act, ines: Person
) -> None:
    """A transfer of 60.00 for 42.00: 18.00 is kept, and used where 42.00 is due."""
    issue(job)
    with pytest.raises(Refused, match=r"Only 42\.00 is due"):
        pay(job, "60.00", method="transfer")
    pay(job, "60.00", method="transfer", keeps_more=True)
    assert queries.balance(job).due == euro("-18.00")
    other = ticket_for(job.shop)
    with pytest.raises(Refused, match="same customer"):
        billing.credit_move(source=job, target=other, by=ines)
    Ticket.objects.filter(pk=other.pk).update(customer=job.customer)
    other.refresh_from_db()
    moved = billing.credit_move(source=job, target=other, by=ines)
    assert (moved.amount, moved.method) == (euro("18.00"), "credit")
    assert queries.balance(job).due.amount == 0
    assert queries.balance(other).due == euro("24.00")
    assert sum(one.amount_minor for one in Payment.objects.filter(method="credit")) == 0
    with pytest.raises(Refused, match="nothing to move"):
        billing.credit_move(source=job, target=other, by=ines)


def test_an_advance_is_never_kept_as_credit(job: Ticket, pay: Act) -> None:
    with pytest.raises(Refused, match=r"Only 42\.00 more"):
        pay(job, "60.00", keeps_more=True)
