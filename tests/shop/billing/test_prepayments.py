"""Advances with an invoice of their own, where the shop's rules say so."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from shop.billing import owing, panels, papers, queries, receipts
from shop.billing import services as billing
from shop.billing.einvoice.frozen import e_invoice_of
from shop.billing.models import Invoice
from shop.billing.paying.rules import rules_set
from shop.intake.models import Ticket
from shop.opening.numbers import numbers_move
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from tests.einvoicing import reckoning
from tests.einvoicing.judging import rules_broken, shape_errors
from tests.shop.billing.conftest import OPENED, euro

Act = Callable[..., Any]


@pytest.fixture
def job(hollin_lane: Shop, ines: Person, job: Ticket) -> Ticket:
    """A ticket of a shop whose advances get invoices."""
    for shop in (hollin_lane, job.shop):
        shop.country, shop.tax_id = "IE", "IE 0000318H"
        shop.save()
    rules_set(
        shop=hollin_lane,
        by=ines,
        deposit_paper="invoice",
        cash_step_minor=1,
        at=OPENED,
    )
    return job


def test_an_advance_gets_its_invoice_and_is_taken_off_the_bill(
    job: Ticket, pay: Act, send: Act, answer: Act, work: Act, issue: Act
) -> None:
    """(35 + 60 + 4) and 20 % are 118.80; 60.00 of it was billed and paid before."""
    answer(send("99.00"), is_yes=True)
    work(job, "repair", 60)
    payment = pay(job, "60.00")
    advance = payment.invoice
    assert (advance.kind, advance.number) == ("prepayment", "P2026-0001")
    assert (advance.net, advance.tax) == (euro("50.00"), euro("10.00"))
    assert "Prepayment invoice P2026-0001" in papers.invoice_html(advance)
    assert "Prepayment invoice P2026-0001" in receipts.receipt_html(payment)
    assert queries.standing_invoice(job) is None
    invoice = issue(job)
    assert invoice.number == "2026-0001"
    assert (invoice.net, invoice.tax) == (euro("49.00"), euro("9.80"))
    last = invoice.lines.last()
    assert last is not None
    assert last.text == "Less prepayment invoice P2026-0001 of 2 March 2026"
    assert invoice.prepaid.amount == 0
    assert owing.invoiced(job) == euro("118.80")
    assert panels.money_of(job)["not_billed"] == euro("0.00"), "it was billed before"
    work(job, "repair", 60)
    assert panels.money_of(job)["not_billed"] == euro("72.00")
    assert queries.balance(job).due == euro("58.80")
    pay(job, "58.80", at=OPENED + timedelta(days=4))
    assert queries.balance(job).due.amount == 0
    for paper in (advance, invoice):
        xml = e_invoice_of(paper)
        assert xml
        assert not shape_errors(xml)
        assert not rules_broken(xml)
        assert not reckoning.faults(xml)
    assert b"<ram:TypeCode>386</ram:TypeCode>" in e_invoice_of(advance)


def test_an_amount_no_net_comes_to_is_refused_with_the_nearest(
    job: Ticket, pay: Act
) -> None:
    """At 20 % 0.03 is 0.04 and 0.02 is 0.02."""
    with pytest.raises(Refused, match=r"take 0\.02 or 0\.04") as refusal:
        pay(job, "0.03")
    assert refusal.value.field == "amount"
    assert not Invoice.objects.exists()


def test_it_goes_back_by_its_credit_note_first(
    job: Ticket, pay: Act, ines: Person, issue: Act
) -> None:
    advance = pay(job, "42.00").invoice
    with pytest.raises(Refused, match="credit that one first"):
        pay(job, "-42.00", reason="Not fixed")
    invoice = issue(job)
    with pytest.raises(Refused, match="take that one back first"):
        billing.credit_note_issue(invoice=advance, by=ines)
    billing.credit_note_issue(invoice=invoice, by=ines)
    note = billing.credit_note_issue(invoice=advance, by=ines)
    assert note.total == euro("-42.00")
    pay(job, "-42.00", reason="Not fixed")
    assert (owing.invoiced(job), queries.paid(job)) == (euro("0.00"), euro("0.00"))


def test_a_bill_below_its_advance_waits_for_a_credit_note(
    job: Ticket, pay: Act, send: Act, answer: Act, issue: Act, ines: Person
) -> None:
    answer(send("99.00"), is_yes=True)
    advance = pay(job, "60.00").invoice
    with pytest.raises(Refused, match="less than prepayment invoice P2026-0001"):
        issue(job)
    billing.credit_note_issue(invoice=advance, by=ines, takes={1: euro("20.00")})
    invoice = issue(job)
    assert invoice.total == euro("6.00")
    assert queries.balance(job).due == euro("-18.00")


def test_their_numbers_go_on_where_the_owner_says(
    job: Ticket, hollin_lane: Shop, marit: Person, pay: Act, send: Act, answer: Act
) -> None:
    rules_set(shop=hollin_lane, by=marit, deposit_paper="invoice", cash_step_minor=1)
    numbers_move(shop=hollin_lane, by=marit, firsts={"prepayment": 7})
    answer(send("99.00"), is_yes=True)
    assert pay(job, "60.00").invoice.number == "P2026-0007"
    with pytest.raises(Refused, match="never goes back"):
        numbers_move(shop=hollin_lane, by=marit, firsts={"prepayment": 7})
