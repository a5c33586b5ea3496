"""One invoice a month over an account's tickets: what is on it, and that once."""

import threading
import time
from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest
from django.db import (
    DatabaseError,
    IntegrityError,
    OperationalError,
    connections,
    transaction,
)
from django.utils import timezone
from lxml import etree
from pypdf import PdfReader

from shop.billing import papers, queries
from shop.billing import services as billing
from shop.billing.account_models import BilledTicket
from shop.billing.accounts.draft import draft_of
from shop.billing.accounts.groups import groups_of
from shop.billing.einvoice.frozen import e_invoice_of
from shop.billing.models import Invoice
from shop.intake import joining
from shop.intake import services as intake
from shop.intake.account_models import AccountPrices
from shop.intake.models import Customer, Ticket
from shop.people.models import Person, Shop, Terms
from shop.records.errors import Refused
from shop.records.models import Event, NumberSeries
from tests.einvoicing import reckoning
from tests.einvoicing.documents import IBAN
from tests.einvoicing.judging import rules_broken, shape_errors
from tests.factories import CustomerFactory, DeviceFactory
from tests.shop.billing.accounts import (
    IN_APRIL,
    MARCH,
    OPENED,
    account_of,
    brought,
    college_of,
    drafted,
    gone_back,
    issued,
)
from tests.shop.billing.conftest import EVIDENCE, STORY, euro
from tests.shop.billing.test_papers import words_of

Act = Callable[..., Any]


@pytest.fixture
def college(hollin_lane: Shop, marit: Person) -> Customer:
    """The shop in a country, with a VAT id and an IBAN; a college with an account."""
    hollin_lane.country, hollin_lane.tax_id = "IE", "IE 0000318H"
    hollin_lane.account = IBAN
    hollin_lane.save()
    return college_of(hollin_lane, marit)


def text_in(xml: bytes, path: str) -> list[str]:
    return [one.text for one in etree.fromstring(xml).iterfind(path, reckoning.NS)]


def test_a_month_is_one_invoice_by_machine_with_copies_of_each_ticket(
    college: Customer, ines: Person
) -> None:
    heron = DeviceFactory.create(customer=college, model="Heron 14", serial="H1")
    later = gone_back(college, ines, device=heron, day=20, order_number="PO-9")
    first = gone_back(college, ines, device=heron)
    other = gone_back(college, ines)
    brought(college, ines)  # still here
    bill = issued(college, ines)
    # Each: fee 35, an hour 60, consumables 4 (domain.md, 9) and 20 % = 118.80.
    assert (bill.net, bill.total) == (euro("297.00"), euro("356.40"))
    assert (bill.number, bill.due_on) == ("2026-0001", date(2026, 5, 2))
    groups = groups_of(bill.device)
    assert [g.ticket for g in groups] == [later.number, first.number, other.number]
    assert [(g.first, g.last) for g in groups] == [(1, 3), (4, 6), (7, 9)]
    assert [g.order_number for g in groups] == ["PO-9", "PO-77", "PO-77"]
    assert groups[2].contact == "Ida Roth, lab 3"
    assert bill.story[first.number] == STORY
    assert bill.evidence[0]["rows"] == EVIDENCE
    # 90 days from the handover, which was on 20 March.
    assert groups[0].warranty_until == "2026-06-18"
    assert queries.covered_until(later) == date(2026, 6, 18)
    told = Event.objects.get(ticket_id=first.pk, kind="billed_on_account")
    assert told.ids["number"] == "2026-0001"
    assert queries.balance(first).due.amount == 0


def test_its_e_invoice_is_one_that_the_standard_accepts(
    college: Customer, ines: Person
) -> None:
    """XSD, Schematron, the second reckoning; BT-13, BG-14, BG-26, BT-127, BG-9."""
    for _ in range(2):
        gone_back(college, ines)
    bill = issued(college, ines)
    xml = e_invoice_of(bill)
    assert bill.plain_because == ""
    assert (shape_errors(xml), rules_broken(xml)) == ([], set())
    assert reckoning.faults(xml) == []
    order = ".//ram:BuyerOrderReferencedDocument/ram:IssuerAssignedID"
    assert text_in(xml, order) == ["PO-77"]
    settled = ".//ram:ApplicableHeaderTradeSettlement/ram:BillingSpecifiedPeriod/"
    first, last = f"{settled}ram:StartDateTime/*", f"{settled}ram:EndDateTime/*"
    assert text_in(xml, first) + text_in(xml, last) == ["20260301", "20260331"]
    notes = text_in(xml, ".//ram:AssociatedDocumentLineDocument//ram:Content")
    (ticket, *_rest) = bill.device["groups"]
    assert len(notes) == 6
    assert notes[0] == (
        f"{ticket['ticket']}, Orrin 14, {ticket['serial']}, PO-77, Ida Roth, lab 3"
    )
    who = ".//ram:BuyerTradeParty/ram:DefinedTradeContact/"
    assert text_in(xml, f"{who}ram:PersonName") == ["Ludo Brask"]
    assert text_in(xml, f"{who}*/ram:URIID") == ["accounts@weir.example"]
    line_days = ".//ram:SpecifiedLineTradeSettlement/ram:BillingSpecifiedPeriod"
    assert text_in(xml, f"{line_days}/ram:EndDateTime/*") == ["20260303"] * 6


def test_the_paper_groups_by_ticket_and_is_the_same_next_year(
    college: Customer, ines: Person, marit: Person, time_machine: Any
) -> None:
    tickets = [gone_back(college, ines) for _ in range(2)]
    bill = issued(college, ines)
    first = papers.invoice_pdf(bill)
    words = words_of(first)
    for ticket in tickets:
        assert f"Ticket {ticket.number}" in words
        assert ticket.device.serial in words
    assert "PO-77" in words
    assert "Ida Roth, lab 3" in words
    assert "March 2026" in words
    assert STORY["found"] in words
    assert words.count("Should read") == 2
    assert len(PdfReader(BytesIO(first)).pages) >= 2
    account_of(college, marit, order_number="PO-1", at=timezone.now())
    Customer.objects.update(name="Somebody Else", country="AT")
    Ticket.objects.update(order_number="changed")
    Terms.objects.update(tax_basis_points=0)
    Shop.objects.update(name="New Name", account="", paper_size="Letter")
    time_machine.move_to(timezone.now() + timedelta(days=365), tick=True)
    assert papers.invoice_pdf(Invoice.objects.get(pk=bill.pk)) == first


def test_a_credit_note_points_to_it_and_frees_its_tickets(
    college: Customer, ines: Person
) -> None:
    ticket = gone_back(college, ines)
    bill = issued(college, ines)
    note = billing.credit_note_issue(invoice=bill, by=ines, reason="Wrong order")
    xml = e_invoice_of(note)
    assert (shape_errors(xml), rules_broken(xml)) == ([], set())
    preceding = ".//ram:InvoiceReferencedDocument/ram:IssuerAssignedID"
    assert text_in(xml, preceding) == [bill.number]
    assert f"Ticket {ticket.number}" in words_of(papers.invoice_pdf(note))
    assert note.account.customer == college
    again = issued(college, ines)
    assert (again.number, again.total) == ("2026-0002", bill.total)


def test_a_part_taken_back_is_grouped_by_machine_like_its_invoice(
    college: Customer, ines: Person
) -> None:
    """A line of the second and third of three tickets: the first is not on it."""
    tickets = [gone_back(college, ines) for _ in range(3)]
    bill = issued(college, ines)
    groups = groups_of(bill.device)
    takes = {group.last: euro("1.00") for group in groups[1:]}
    note = billing.credit_note_issue(
        invoice=bill, by=ines, reason="Agreed", takes=takes
    )
    on_note = [
        (group.ticket, group.first, group.last) for group in groups_of(note.device)
    ]
    by_number = [group.ticket for group in groups]
    assert on_note == [(by_number[1], 1, 1), (by_number[2], 2, 2)]
    words = words_of(papers.invoice_pdf(note))
    said = [f"Ticket {number}" in words for number in by_number]
    assert said == [False, True, True]
    assert sorted(by_number) == sorted(ticket.number for ticket in tickets)
    xml = e_invoice_of(note)
    assert (shape_errors(xml), rules_broken(xml)) == ([], set())


def test_a_ticket_is_never_billed_twice(college: Customer, ines: Person) -> None:
    """Not by the month, not by itself, and the database holds it as well."""
    ticket = gone_back(college, ines)
    seen = drafted(college).mark
    bill = issued(college, ines)
    with pytest.raises(Refused, match="issued a moment ago"):
        issued(college, ines, seen=seen)
    with pytest.raises(Refused, match="Invoice 2026-0001 bills this ticket already"):
        billing.invoice_issue(
            ticket=ticket, by=ines, evidence=[], story={}, device={}, at=IN_APRIL
        )
    with pytest.raises(IntegrityError), transaction.atomic():
        BilledTicket.objects.create(ticket=ticket, invoice=bill)
    with pytest.raises(DatabaseError), transaction.atomic():
        bill.account.delete()
    assert NumberSeries.objects.get(kind="invoice").next_number == 2


def test_what_is_billed_by_itself_stays_off_the_month(
    college: Customer, ines: Person, issue: Act
) -> None:
    alone = gone_back(college, ines)
    issue(alone, at=IN_APRIL)
    assert drafted(college).shares == ()


def test_what_has_changed_since_it_was_seen_is_refused(
    college: Customer, ines: Person
) -> None:
    ticket = gone_back(college, ines)
    seen = drafted(college).mark
    billing.time_record(
        ticket=ticket,
        by=ines,
        person=ines,
        kind="repair",
        minutes=15,
        started_at=OPENED,
    )
    with pytest.raises(Refused, match="changed since you looked"):
        issued(college, ines, seen=seen)
    assert not Invoice.objects.exists()


def test_a_month_that_is_not_over_is_not_billed(
    college: Customer, ines: Person
) -> None:
    gone_back(college, ines)
    with pytest.raises(Refused, match="not over yet"):
        issued(college, ines, at=OPENED.replace(day=31))


def test_what_went_back_after_the_month_waits_and_what_was_left_over_comes_along(
    college: Customer, ines: Person
) -> None:
    """BG-14 begins with the oldest day on it, so that each line lies inside."""
    february = gone_back(college, ines)
    february.handover.at = OPENED - timedelta(days=10)
    february.handover.save()
    march = gone_back(college, ines)
    april = gone_back(college, ines)
    april.handover.at = IN_APRIL - timedelta(hours=1)
    april.handover.save()
    bill = issued(college, ines)
    billed = {group.ticket for group in groups_of(bill.device)}
    assert billed == {february.number, march.number}
    assert bill.texts["period"] == ["2026-02-20", "2026-03-31"]
    assert rules_broken(e_invoice_of(bill)) == set()


def test_a_ticket_waits_without_its_order_number_and_beyond_what_was_agreed(
    college: Customer, ines: Person, marit: Person
) -> None:
    account_of(college, marit, order_number="", needs_order=True)
    missing = gone_back(college, ines)
    dear = gone_back(college, ines, minutes=600, order_number="PO-5")
    fine = gone_back(college, ines, order_number="PO-6")
    draft = drafted(college, left_out=[])
    assert [one.ticket for one in draft.shares] == [fine]
    why = {one.ticket: one.held for one in draft.waiting}
    assert why[missing] == "The order number is missing."
    assert "send a new quote first" in why[dear]
    left = drafted(college, left_out=[fine.pk])
    assert (left.shares, len(left.waiting)) == ((), 3)


def test_a_ticket_that_became_another_customers_is_not_billed_to_the_account(
    college: Customer, ines: Person, marit: Person
) -> None:
    """Joining two rows moves it; the account's own row is the one that stays."""
    gone_back(college, ines)
    seen = drafted(college).mark
    twin = CustomerFactory.create(shop=college.shop, name="Weir College Library")
    with pytest.raises(Refused, match="account"):
        joining.customers_join(kept=twin, gone=college, by=marit, versions=(1, 1))
    Ticket.objects.update(customer=twin)
    with pytest.raises(Refused, match="Nothing is to be billed"):
        issued(college, ines, seen=seen)


def test_a_standing_cap_is_said_yes_to_on_every_ticket(
    college: Customer, ines: Person
) -> None:
    ticket = brought(college, ines)
    agreed = queries.agreed(ticket)
    assert (agreed.cap, agreed.source) == (euro("200.00"), "pre_approval")
    asked = brought(college, ines, pre_approved=euro("50.00"))
    assert queries.agreed(asked).cap == euro("50.00")


def test_an_own_price_list_holds_from_its_day_for_what_comes_in_after(
    college: Customer, ines: Person, marit: Person
) -> None:
    """An hour at 48, a fee of 20, parts at cost and a half, 10 % off all but the fee.

    (48 + 15 + 4) less 10 % is 60.30, and 20 for the fee: 80.30.
    """
    before = brought(college, ines)
    intake.account_prices_set(
        customer=college,
        by=marit,
        hourly_rate=euro("48.00"),
        diagnosis_fee=euro("20.00"),
        markup_percent=50,
        discount_basis_points=1000,
        first_day=date(2026, 3, 10),
        now=OPENED,
    )
    after = brought(college, ines, day=11)
    for ticket in (before, after):
        billing.part_use(
            ticket=ticket, by=ines, name="Jack", quantity=1, cost=euro("10.00")
        )
    nets = {line.code: line.net for line in queries.work_lines(after)}
    assert nets == {
        "fee": euro("20.00"),
        "labour.repair": euro("48.00"),
        "part": euro("15.00"),
        "consumables": euro("4.00"),
        "account_discount": euro("-6.70"),
    }
    usual = {line.code: line.net for line in queries.work_lines(before)}
    assert usual["labour.repair"] == euro("60.00")
    assert usual["part"] == euro("16.00")
    assert "account_discount" not in usual
    with pytest.raises(Refused, match="today or a later day"):
        intake.account_prices_set(
            customer=college, by=marit, first_day=date(2026, 3, 1), now=OPENED
        )
    with pytest.raises(DatabaseError), transaction.atomic():
        AccountPrices.objects.update(markup_percent=1)


def test_an_account_that_ended_is_an_ordinary_customer_again(
    college: Customer, ines: Person, marit: Person
) -> None:
    account_of(college, marit, is_open=False, at=IN_APRIL)
    assert draft_of(college, MARCH, IN_APRIL) is None
    ticket = brought(college, ines)
    assert queries.balance(ticket).due.amount == Decimal("118.80")


def test_the_day_is_the_shops(college: Customer, ines: Person) -> None:
    """A machine that went back at 23:30 UTC on 31 March went in April in Auckland."""
    college.shop.time_zone = "Pacific/Auckland"
    college.shop.save()
    ticket = gone_back(college, ines)
    ticket.handover.at = OPENED.replace(day=31, hour=23, minute=30)
    ticket.handover.save()
    assert drafted(college).shares == ()


@pytest.mark.django_db(transaction=True)
def test_of_two_owners_who_issue_the_month_at_once_one_does(
    college: Customer, ines: Person, marit: Person
) -> None:
    """Each with a connection of its own; no number is lost, no ticket billed twice."""
    tickets = [gone_back(college, ines) for _ in range(3)]
    seen = drafted(college)
    start, said = threading.Barrier(2), list[str]()

    def one_owner() -> None:
        start.wait()
        said.append(patiently(lambda: issued(college, marit, draft=seen).number))
        connections.close_all()

    threads = [threading.Thread(target=one_owner) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(said) == ["", "2026-0001"]
    assert Invoice.objects.count() == 1
    billed = BilledTicket.objects.values_list("ticket", flat=True)
    assert sorted(billed) == [ticket.pk for ticket in tickets]
    assert NumberSeries.objects.get(kind="invoice").next_number == 2


def patiently(act: Callable[[], str]) -> str:
    """Its answer, empty where it is refused; a busy database is asked again."""
    for _try in range(500):
        try:
            return act()
        except Refused:
            return ""
        except OperationalError as busy:
            if "locked" not in str(busy):
                raise
            time.sleep(0.01)
    raise AssertionError("the database stayed busy")
