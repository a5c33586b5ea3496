"""The receipt: exact width, as long as its text, the sums, and no invoice."""

import re

import pytest

from shop.billing import receipts, services
from shop.billing.models import Payment
from shop.desk import services as desk
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Person
from tests.factories import TicketFactory
from tests.shop.intake.papers_seen import PRINTERS_DPI, margins_mm, printed, sizes_mm


def pay(ticket: Ticket, by: Person, amount: str, method: str = "cash") -> Payment:
    return services.payment_take(
        shop=ticket.shop,
        by=by,
        ticket=ticket,
        amount=Money.of(amount, "EUR"),
        method=method,
        reason="Less to do",
    )


def words_of(payment: Payment) -> str:
    html = receipts.receipt_html(payment)
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def test_an_advance_says_what_was_paid_and_that_it_is_no_invoice(
    ticket: Ticket, tomas: Person
) -> None:
    words = words_of(pay(ticket, tomas, "20.00"))
    for said in (
        f"Receipt {ticket.number}/1",
        "Paid by cash 20.00 EUR",
        "Paid so far 20.00",
        "Money paid before the invoice is taken off it.",
        "This receipt is no invoice: tax is shown on the invoice.",
        "Hollin Lane Board Repair",
        "taken by Tomas Reyl",
    ):
        assert said in words, said
    assert "Left to pay" not in words
    assert "Ada Pell" not in words


def test_after_the_invoice_it_says_what_is_left(ticket: Ticket, tomas: Person) -> None:
    """Diagnosis 35.00 and 20 % tax are 42.00 (domain.md, 12)."""
    intake.outcome_record(ticket=ticket, by=tomas, kind="declined")
    first = pay(ticket, tomas, "10.00", "card")
    invoice = desk.invoice_issue(ticket=ticket, by=tomas)
    second = pay(ticket, tomas, "30.00")
    third = pay(ticket, tomas, "2.00")
    words = words_of(second)
    assert f"Receipt {ticket.number}/2" in words
    assert f"Invoice {invoice.number} 42.00 Paid so far 40.00" in words
    assert "Left to pay 2.00 EUR" in words
    assert "Left to pay 0.00 EUR" in words_of(third)
    assert "taken off" in words_of(first)


def test_money_given_back_is_said_to_be_so(ticket: Ticket, tomas: Person) -> None:
    pay(ticket, tomas, "20.00")
    words = words_of(pay(ticket, tomas, "-5.00"))
    assert "Given back by cash 5.00 EUR" in words
    assert "Paid so far 15.00" in words


@pytest.mark.parametrize("dpi", PRINTERS_DPI)
def test_it_is_80_mm_wide_and_no_longer_than_its_text(tomas: Person, dpi: int) -> None:
    names = ("Ada Pell", "A" * 60)
    for reference in names:
        ticket = TicketFactory.create(by=tomas)
        payment = pay(ticket, tomas, "20.00")
        payment.reference = reference
        body = receipts.receipt(payment).body
        ((width, length),) = sizes_mm(body)
        assert width == pytest.approx(80, abs=0.05)
        left, above, right, below = margins_mm(printed(body, dpi), dpi)
        assert min(left, right) >= 3.5
        assert 2.5 <= above <= 6
        assert 2.5 <= below <= 6
        assert length < 105


def test_its_page_is_beside_the_payment(
    client_of: object, ticket: Ticket, tomas: Person
) -> None:
    payment = pay(ticket, tomas, "20.00")
    tomas_client = client_of("tomas")  # type: ignore[operator]
    at = f"/tickets/{ticket.number}/payments/{payment.pk}/receipt.pdf"
    assert at in tomas_client.get(f"/tickets/{ticket.number}/").content.decode()
    answer = tomas_client.get(at)
    assert answer["Content-Type"] == "application/pdf"
    other = TicketFactory.create(by=tomas)
    at = f"/tickets/{other.number}/payments/{payment.pk}/receipt.pdf"
    assert tomas_client.get(at).status_code == 404
