"""Statements tie, payments pay the oldest first, and the limit counts what is out."""

from datetime import UTC, date, datetime, timedelta
from random import Random

import pytest

from shop.billing import services as billing
from shop.billing.accounts.credit import credit_of
from shop.billing.accounts.paying import account_payment_take
from shop.billing.accounts.statement import (
    Statement,
    balance_at,
    due_of,
    statement_of,
)
from shop.billing.accounts.statement_views import statement_paper
from shop.billing.models import Invoice, Payment
from shop.billing.paying.rules import rules_set
from shop.intake.models import Customer
from shop.money import Money
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from tests.factories import CustomerFactory
from tests.shop.billing.accounts import (
    IN_APRIL,
    account_of,
    brought,
    college_of,
    gone_back,
    issued,
)
from tests.shop.billing.conftest import euro
from tests.shop.billing.test_papers import words_of

BEGIN = datetime(2026, 1, 1, 8, 0, tzinfo=UTC)


@pytest.fixture
def college(hollin_lane: Shop, marit: Person) -> Customer:
    return college_of(hollin_lane, marit)


def paper(
    customer: Customer,
    by: Person,
    at: datetime,
    minor: int,
    serial: int,
    corrects: Invoice | None = None,
) -> Invoice:
    """A bare invoice of the account, or a credit note to one."""
    from shop.billing.account_models import AccountInvoice

    kind = "invoice" if corrects is None else "credit_note"
    row = Invoice.objects.create(
        shop=customer.shop,
        kind=kind,
        number=f"{kind[0]}{serial}",
        serial=serial,
        corrects=corrects,
        currency="EUR",
        seller={},
        buyer={},
        device={},
        story={},
        evidence=[],
        net_minor=minor,
        tax_minor=0,
        total_minor=minor,
        due_on=at.date(),
        issued_at=at,
        by=by,
        texts={"issued_on": str(at.date())},
    )
    AccountInvoice.objects.create(invoice=row, customer=customer, month=at.date())
    return row


def a_year(customer: Customer, by: Person, draw: Random) -> list[tuple[date, int]]:
    """Invoices, notes and payments by chance, as (day, signed cents): the witness."""
    told: list[tuple[date, int]] = []
    for serial in range(1, 25):
        at = BEGIN + timedelta(minutes=draw.randrange(360 * 24 * 60))
        minor = draw.randrange(1, 500_000)
        row = paper(customer, by, at, minor, serial)
        told.append((at.date(), minor))
        if draw.random() < 0.3:
            back = draw.randrange(1, minor + 1)
            later = at + timedelta(days=draw.randrange(20))
            paper(customer, by, later, -back, serial, corrects=row)
            told.append((later.date(), -back))
        for _ in range(draw.randrange(3)):
            part = draw.choice([1, -1]) * draw.randrange(1, 90_000)
            later = at + timedelta(days=draw.randrange(40))
            Payment.objects.create(
                shop=customer.shop,
                invoice=row,
                currency="EUR",
                amount_minor=part,
                method="transfer",
                by=by,
                at=later,
            )
            told.append((later.date(), -part))
    return told


def test_a_year_by_chance_ties_with_an_independent_sum(
    college: Customer, marit: Person
) -> None:
    """40 periods: every figure again from the witness's own list, in plain cents."""
    draw = Random(90417)
    told = a_year(college, marit, draw)
    other = CustomerFactory.create(shop=college.shop)
    paper(other, marit, BEGIN, 77, 900)
    before: Statement | None = None
    day = BEGIN.date()
    for _ in range(40):
        last = day + timedelta(days=draw.randrange(1, 15))
        found = statement_of(college, day, last)
        inside = [minor for at, minor in told if day <= at <= last]
        assert found.opening.minor == sum(m for at, m in told if at < day)
        assert [e.amount.minor for e in found.entries] != [] or not inside
        assert sorted(e.amount.minor for e in found.entries) == sorted(inside)
        assert found.closing.minor == found.opening.minor + sum(inside)
        sums = found.invoiced + found.credited + found.paid
        assert found.closing == found.opening + sums
        assert before is None or before.closing == found.opening
        balance = found.opening
        for entry in found.entries:
            balance = balance + entry.amount
            assert entry.balance == balance
        before, day = found, last + timedelta(days=1)


def test_a_statement_of_real_papers_is_a_page_to_send(
    college: Customer, ines: Person, marit: Person
) -> None:
    gone_back(college, ines)
    bill = issued(college, ines)
    pay(college, marit, "100.00")
    found = statement_of(college, date(2026, 4, 1), date(2026, 4, 30))
    assert found.closing == euro("18.80")
    assert [one.due for one in found.open_ones] == [euro("18.80")]
    first = statement_paper(found)
    words = words_of(first)
    for told in (
        "Statement of account",
        "Weir College",
        bill.number,
        "118.80",
        "Opening balance",
        "Closing balance",
        "18.80",
    ):
        assert told in words
    assert statement_paper(found) == first


def pay(college: Customer, by: Person, amount: str, **more: str) -> list[Payment]:
    return account_payment_take(
        customer=college,
        by=by,
        amount=Money.of(amount, more.pop("currency", "EUR")),
        method="transfer",
        at=IN_APRIL + timedelta(days=5),
        **more,
    )


def test_one_transfer_pays_the_oldest_invoice_first(
    college: Customer, ines: Person, marit: Person
) -> None:
    gone_back(college, ines)
    first = issued(college, ines)
    gone_back(college, ines)
    second = issued(college, ines)
    taken = pay(college, marit, "150.00")
    assert [(one.invoice, one.amount) for one in taken] == [
        (first, euro("118.80")),
        (second, euro("31.20")),
    ]
    later = IN_APRIL + timedelta(days=9)
    assert (due_of(first, later).minor, due_of(second, later)) == (0, euro("87.60"))
    with pytest.raises(Refused, match=r"Only 87\.60 is due"):
        pay(college, marit, "87.61")
    with pytest.raises(Refused, match="not in USD"):
        pay(college, marit, "1.00", currency="USD")
    pay(college, marit, "87.60", number=second.number)
    assert balance_at(college, later).minor == 0


def test_an_advance_on_a_ticket_is_taken_off_its_month(
    college: Customer, ines: Person, marit: Person
) -> None:
    ticket = gone_back(college, ines)
    billing.payment_take(
        shop=college.shop, by=marit, amount=euro("18.80"), method="cash", ticket=ticket
    )
    bill = issued(college, ines)
    assert bill.prepaid == euro("18.80")
    assert due_of(bill, IN_APRIL + timedelta(days=1)) == euro("100.00")
    with pytest.raises(Refused, match="invoice 2026-0001 of the account"):
        billing.payment_take(
            shop=college.shop, by=marit, amount=euro("1"), method="cash", ticket=ticket
        )


def test_a_billed_advance_is_taken_off_its_month_by_line(
    college: Customer, ines: Person, marit: Person
) -> None:
    """118.80 of work, of which 24.00 has an invoice of its own: 94.80 is left."""
    rules_set(
        shop=college.shop,
        by=marit,
        deposit_paper="invoice",
        cash_step_minor=1,
        at=BEGIN,
    )
    ticket = gone_back(college, ines)
    advance = billing.payment_take(
        shop=college.shop, by=marit, amount=euro("24.00"), method="card", ticket=ticket
    ).invoice
    assert advance is not None
    assert credit_of(college).owing == euro("94.80")
    bill = issued(college, ines)
    assert (bill.total, bill.prepaid.minor) == (euro("94.80"), 0)
    assert credit_of(college).owing == euro("94.80")
    with pytest.raises(Refused, match="take that one back first"):
        billing.credit_note_issue(invoice=advance, by=marit)


def test_owing_is_what_is_billed_what_went_back_and_what_goes_out_now(
    college: Customer, ines: Person, marit: Person
) -> None:
    """118.80 each: one billed, one that went back, one at the counter, one inside."""
    account_of(college, marit, credit_limit=euro("300.00"))
    gone_back(college, ines)
    issued(college, ines)
    gone_back(college, ines)
    now = brought(college, ines)
    brought(college, ines)
    college.refresh_from_db()
    credit = credit_of(college, now)
    assert (credit.billed, credit.unbilled) == (euro("118.80"), euro("118.80"))
    assert (credit.owing, credit.above) == (euro("356.40"), euro("56.40"))
    assert credit_of(college).above.minor == 0
