"""What an account paid on a ticket is set off on its month once, and on its receipts.

Each ticket is an hour at 60.00, the diagnosis at 35.00, consumables at 4.00 and 20 %
tax on them: 118.80 by hand.
"""

import re
from collections.abc import Callable
from datetime import date, timedelta

import pytest
from django.test import Client

from shop.billing import owing, papers, receipts
from shop.billing import services as billing
from shop.billing.accounts.draft import draft_of
from shop.billing.accounts.paying import account_payment_take
from shop.billing.accounts.statement import balance_at, due_of
from shop.billing.einvoice.frozen import e_invoice_of
from shop.billing.models import Invoice, Payment
from shop.intake.models import Customer, Ticket
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from tests.einvoicing import reckoning
from tests.einvoicing.documents import IBAN
from tests.einvoicing.judging import rules_broken, shape_errors
from tests.shop.billing.accounts import (
    IN_APRIL,
    MARCH,
    OPENED,
    college_of,
    gone_back,
    issued,
)
from tests.shop.billing.conftest import euro
from tests.shop.billing.test_account_invoices import text_in
from tests.shop.billing.test_papers import words_of

ClientOf = Callable[[str], Client]
DAY = timedelta(days=1)
LATER = IN_APRIL + 9 * DAY
IN_MAY = IN_APRIL.replace(month=5)


@pytest.fixture
def college(hollin_lane: Shop, marit: Person) -> Customer:
    hollin_lane.country, hollin_lane.tax_id = "IE", "IE 0000318H"
    hollin_lane.account = IBAN
    hollin_lane.save()
    return college_of(hollin_lane, marit)


@pytest.fixture
def advanced(college: Customer, ines: Person, marit: Person) -> Ticket:
    """18.80 paid on the first of two tickets."""
    first = gone_back(college, ines)
    gone_back(college, ines)
    advance(first, marit, "18.80")
    return first


@pytest.fixture
def bill(advanced: Ticket, college: Customer, ines: Person) -> Invoice:
    return issued(college, ines)


def advance(ticket: Ticket, by: Person, amount: str) -> Payment:
    return billing.payment_take(
        shop=ticket.shop,
        by=by,
        ticket=ticket,
        amount=euro(amount),
        method="card",
        at=OPENED + DAY,
    )


def pay(college: Customer, by: Person, amount: str) -> Payment:
    (payment,) = account_payment_take(
        customer=college,
        by=by,
        amount=euro(amount),
        method="transfer",
        at=IN_APRIL + DAY,
    )
    return payment


def said_at(client_of: ClientOf, page: str) -> str:
    html = client_of("marit").get(page).content.decode()
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def said_on(payment: Payment) -> str:
    html = receipts.receipt_html(payment)
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def test_the_sums_are_right_and_the_paper_says_what_was_paid_before(
    bill: Invoice, college: Customer
) -> None:
    assert (bill.total, bill.prepaid) == (euro("237.60"), euro("18.80"))
    assert due_of(bill, LATER) == owing.due_of(bill) == euro("218.80")
    words = words_of(papers.invoice_pdf(bill))
    assert "237.60" in words
    assert "18.80" in words
    assert "218.80" in words
    assert balance_at(college, LATER) == euro("218.80")


def test_its_e_invoice_takes_it_off_what_is_due(bill: Invoice) -> None:
    """EN 16931: BT-115 is BT-112 less BT-113 (rule BR-CO-16)."""
    xml = e_invoice_of(bill)
    assert (shape_errors(xml), rules_broken(xml)) == ([], set())
    assert reckoning.faults(xml) == []
    assert text_in(xml, ".//ram:TotalPrepaidAmount") == ["18.80"]
    assert text_in(xml, ".//ram:DuePayableAmount") == ["218.80"]


def test_a_receipt_adds_up_for_who_reads_it(
    bill: Invoice, college: Customer, marit: Person
) -> None:
    """237.60, less 18.80 before it and 100.00 now, leaves 118.80; then nothing."""
    first = said_on(pay(college, marit, "100.00"))
    assert f"Invoice {bill.number} 237.60" in first
    assert "Paid before, on its tickets 18.80 Paid so far 100.00" in first
    assert "Left to pay 118.80 EUR" in first
    with pytest.raises(Refused, match=r"Only 118\.80 is due"):
        pay(college, marit, "118.81")
    last = said_on(pay(college, marit, "118.80"))
    assert "Paid so far 218.80 Left to pay 0.00 EUR" in last
    assert owing.due_of(bill).minor == 0
    assert balance_at(college, LATER).minor == 0


def test_a_receipt_of_an_invoice_without_an_advance_names_none(
    college: Customer, ines: Person, marit: Person
) -> None:
    gone_back(college, ines)
    issued(college, ines)
    said = said_on(pay(college, marit, "100.00"))
    assert "Paid before" not in said
    assert "Left to pay 18.80 EUR" in said


def test_it_is_not_set_off_again_the_month_after(
    bill: Invoice, college: Customer, ines: Person
) -> None:
    gone_back(college, ines, day=20)
    college = Customer.objects.get(pk=college.pk)
    draft = draft_of(college, date(2026, 4, 1), IN_MAY)
    assert draft is not None
    assert (len(draft.shares), draft.prepaid.minor) == (1, 0)
    assert draft.due == euro("118.80")


def test_it_moves_and_goes_back_no_more_once_it_is_set_off(
    bill: Invoice, advanced: Ticket, college: Customer, ines: Person, marit: Person
) -> None:
    other = gone_back(college, ines)
    with pytest.raises(Refused, match=f"on invoice {bill.number} of the account"):
        billing.payment_take(
            shop=college.shop,
            by=marit,
            ticket=advanced,
            amount=euro("-18.80"),
            method="card",
            reason="once more",
        )
    with pytest.raises(Refused):
        billing.credit_move(source=advanced, target=other, by=marit)
    assert owing.paid(advanced) == euro("18.80")


def test_taken_back_whole_it_is_set_off_on_the_next_one_alone(
    bill: Invoice, advanced: Ticket, college: Customer, ines: Person, marit: Person
) -> None:
    billing.credit_note_issue(
        invoice=bill, by=marit, reason="wrong name", at=IN_APRIL + DAY
    )
    assert balance_at(college, LATER) == euro("-18.80")
    anew = issued(college, ines, at=IN_APRIL + 2 * DAY)
    assert (anew.total, anew.prepaid) == (euro("237.60"), euro("18.80"))
    assert balance_at(college, LATER) == euro("218.80")
    with pytest.raises(Refused, match=r"Only 0\.00 was paid"):
        billing.payment_take(
            shop=college.shop,
            by=marit,
            invoice=bill,
            amount=euro("-18.80"),
            method="card",
            reason="it was taken back",
        )


def test_taken_back_whole_its_own_page_asks_for_nothing(
    bill: Invoice, college: Customer, marit: Person, client_of: ClientOf
) -> None:
    page = f"/invoices/{bill.number}/"
    assert "Paid before, on its tickets 18.80" in said_at(client_of, page)
    pay(college, marit, "100.00")
    billing.credit_note_issue(
        invoice=bill, by=marit, reason="wrong name", at=IN_APRIL + 2 * DAY
    )
    assert owing.due_of(bill) == euro("-100.00")
    back = billing.payment_take(
        shop=college.shop,
        by=marit,
        invoice=bill,
        amount=euro("-100.00"),
        method="card",
        reason="wrong name",
        at=IN_APRIL + 3 * DAY,
    )
    assert "To give back" not in said_on(back)
    assert "Left to pay 0.00 EUR" in said_on(back)
    assert owing.due_of(bill).minor == 0
    said = said_at(client_of, page)
    assert "Paid 0.00 Due 0.00" in said
    assert "Paid before" not in said


def test_more_than_the_month_costs_waits_for_the_next(
    college: Customer, ines: Person, marit: Person
) -> None:
    """Two advances of 100.00 each, one of them on a ticket that waits."""
    now, waits = gone_back(college, ines), gone_back(college, ines)
    for ticket in (now, waits):
        advance(ticket, marit, "100.00")
    draft = draft_of(
        Customer.objects.get(pk=college.pk), MARCH, IN_APRIL, left_out=[waits.pk]
    )
    assert draft is not None
    assert (draft.prepaid, draft.due) == (euro("100.00"), euro("18.80"))
    bill = issued(college, ines, draft=draft, left_out=[waits.pk])
    assert bill.prepaid == euro("100.00")
    second = issued(college, ines, at=IN_APRIL + DAY)
    assert (second.prepaid, owing.due_of(second)) == (euro("100.00"), euro("18.80"))
