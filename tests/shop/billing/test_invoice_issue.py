from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction

from shop.billing import papers, queries
from shop.billing import services as billing
from shop.billing.models import Invoice, InvoiceLine, InvoiceTax, Payment
from shop.intake.models import Customer, Ticket
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from shop.records.models import Event, NumberSeries
from tests.shop.billing.conftest import EVIDENCE, OPENED, STORY, euro, ticket_for

Act = Callable[..., Any]


def test_an_invoice_keeps_copies_of_everything(
    job: Ticket, issue: Act, hollin_lane: Shop
) -> None:
    invoice = issue(job)
    Customer.objects.update(name="Somebody Else")
    Shop.objects.update(name="New Name")
    kept = Invoice.objects.get(pk=invoice.pk)
    assert kept.buyer["name"] == "Ada Pell"
    assert kept.seller["name"] == "Hollin Lane Board Repair"
    assert (kept.story, kept.evidence) == (STORY, EVIDENCE)
    assert kept.device == {"model": "Heron-14", "serial": "R7-1"}
    assert kept.texts["payment"].startswith("Due by 19 March 2026.")


def test_an_invoice_has_its_number_total_and_taxes(job: Ticket, issue: Act) -> None:
    invoice = issue(job)
    assert (invoice.number, invoice.serial) == ("2026-0001", 1)
    assert (invoice.total, invoice.due_on) == (euro("42.00"), date(2026, 3, 19))
    (tax,) = invoice.taxes.all()
    assert (tax.percent, tax.taxable, tax.tax) == (20, euro("35.00"), euro("7.00"))
    event = Event.objects.get(kind="invoice_issued")
    assert event.ids == {"invoice": invoice.pk, "number": "2026-0001"}


def test_the_year_is_hollin_lanes_and_the_serial_goes_on(
    hollin_lane: Shop, issue: Act
) -> None:
    hollin_lane.time_zone = "Pacific/Auckland"
    hollin_lane.save(update_fields=["time_zone"])
    new_year = OPENED.replace(year=2026, month=12, day=31, hour=12)
    numbers = [
        issue(ticket_for(hollin_lane), at=new_year + timedelta(hours=hours)).number
        for hours in (-2, 0)
    ]
    assert numbers == ["2026-0001", "2027-0002"]


class PowerCut(Exception):
    pass


@transaction.atomic
def power_cut_while(act: Callable[[], Invoice]) -> None:
    assert act().serial == 2
    raise PowerCut


def test_a_rolled_back_invoice_gives_its_number_back(
    hollin_lane: Shop, issue: Act
) -> None:
    first = issue(ticket_for(hollin_lane))
    with pytest.raises(PowerCut):
        power_cut_while(lambda: issue(ticket_for(hollin_lane)))
    after = issue(ticket_for(hollin_lane))
    assert [first.serial, after.serial] == [1, 2]
    assert NumberSeries.objects.get(kind="invoice").next_number == 3


def test_a_ticket_is_not_billed_twice(job: Ticket, issue: Act) -> None:
    issue(job)
    with pytest.raises(Refused, match="Invoice 2026-0001 bills this ticket already"):
        issue(job)
    assert NumberSeries.objects.get(kind="invoice").next_number == 2


def test_nothing_to_bill_is_refused(hollin_lane: Shop, issue: Act) -> None:
    with pytest.raises(Refused, match="nothing to bill"):
        issue(ticket_for(hollin_lane, diagnosis_fee_minor=0))


def test_work_beyond_the_cap_needs_a_new_yes(
    job: Ticket, work: Act, send: Act, answer: Act, issue: Act
) -> None:
    answer(send("80.00"), is_yes=True)  # 96.00, cap 105.60
    work(job, "repair", 60)  # (35 + 60 + 4) and 20 % = 118.80
    with pytest.raises(Refused, match=r"comes to 118\.80, .* agreed to 105\.60"):
        issue(job)
    answer(send("99.00"), is_yes=True)
    assert issue(job).total == euro("118.80")


def test_work_within_the_cap_needs_no_new_yes(
    job: Ticket, work: Act, send: Act, answer: Act, issue: Act
) -> None:
    answer(send("90.00"), is_yes=True)  # 108.00, cap 118.80
    work(job, "repair", 60)
    assert issue(job).total == euro("118.80")


def test_work_without_any_yes_is_refused(job: Ticket, work: Act, issue: Act) -> None:
    work(job, "repair", 15)
    with pytest.raises(Refused, match="send a new quote first"):
        issue(job)


def test_a_declined_repair_is_billed_as_the_diagnosis_fee(
    job: Ticket, work: Act, send: Act, answer: Act, issue: Act
) -> None:
    work(job, "repair", 60)
    answer(send("200.00"), is_yes=False)
    invoice = issue(job)
    assert invoice.total == euro("42.00")
    assert (invoice.warranty_until, invoice.texts["warranty"]) == (None, "")


def test_after_a_no_it_is_put_together_at_the_price_of_the_intake(
    job: Ticket, work: Act, send: Act, answer: Act, issue: Act
) -> None:
    """35.00 + 20.00 net, 20 % tax: 66.00. The work of the bench is not billed."""
    job.reassembly, job.reassembly_minor = "yes", 2000
    job.save()
    work(job, "repair", 60)
    quote = send("200.00")
    assert "Putting it together again costs 20.00 EUR" in papers.quote_html(quote)
    answer(quote, is_yes=False)
    invoice = issue(job)
    assert invoice.total == euro("66.00")
    assert [row.code for row in invoice.lines.all()] == ["fee", "reassembly"]


def test_money_paid_before_is_taken_off(job: Ticket, pay: Act, issue: Act) -> None:
    pay(job, "42.00")
    invoice = issue(job)
    assert invoice.prepaid == euro("42.00")
    assert invoice.texts["payment"] == "Paid, thank you."


def test_an_advance_beyond_the_bill_is_still_owed_to_the_customer(
    job: Ticket, pay: Act, send: Act, answer: Act, issue: Act
) -> None:
    answer(send("100.00"), is_yes=True)
    pay(job, "120.00")
    invoice = issue(job)
    assert invoice.prepaid == euro("42.00")
    assert queries.balance(job).due == euro("-78.00")


def test_without_an_account_the_bill_is_paid_at_the_counter(
    hollin_lane: Shop, job: Ticket, issue: Act
) -> None:
    hollin_lane.account = ""
    hollin_lane.save(update_fields=["account"])
    payment = issue(job, evidence=[]).texts["payment"]
    assert payment == "Due by 19 March 2026, at the counter."


@pytest.mark.parametrize(
    ("liquid", "until"), [("no", date(2026, 6, 3)), ("yes", date(2026, 4, 4))]
)
def test_a_repair_has_a_warranty_shorter_after_liquid(
    hollin_lane: Shop, work: Act, issue: Act, liquid: str, until: date
) -> None:
    job = ticket_for(hollin_lane, liquid=liquid, pre_approved_minor=20000)
    work(job, "repair", 15)
    invoice = issue(job)
    assert invoice.warranty_until == until
    assert invoice.texts["warranty"].startswith("On this repair until")


def test_a_credit_note_takes_all_back_and_frees_the_work(
    job: Ticket, issue: Act, ines: Person
) -> None:
    invoice = issue(job)
    note = billing.credit_note_issue(invoice=invoice, by=ines, at=OPENED)
    assert (note.number, note.corrects) == ("C2026-0001", invoice)
    assert (note.net, note.tax, note.total) == (
        euro("-35.00"),
        euro("-7.00"),
        euro("-42.00"),
    )
    (line,) = note.lines.all()
    assert (int(line.quantity), line.net) == (-1, euro("-35.00"))
    assert line.unit_price > 0
    assert queries.balance(job).invoiced.amount == 0
    assert issue(job).number == "2026-0002"


def test_an_invoice_is_taken_back_once(job: Ticket, issue: Act, ines: Person) -> None:
    invoice = issue(job)
    note = billing.credit_note_issue(invoice=invoice, by=ines)
    for paper in (invoice, note):
        with pytest.raises(Refused):
            billing.credit_note_issue(invoice=paper, by=ines)


@pytest.mark.parametrize("table", [Invoice, InvoiceLine, InvoiceTax, Payment])
@pytest.mark.parametrize("act", ["UPDATE {} SET currency = 'SEK'", "DELETE FROM {}"])
def test_the_database_refuses_to_change_an_issued_paper(
    job: Ticket, issue: Act, pay: Act, table: type[Invoice], act: str
) -> None:
    pay(job, "42.00")
    issue(job)
    statement = act.format(connection.ops.quote_name(table._meta.db_table))
    with (
        pytest.raises(DatabaseError, match="never changed"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(statement)
    assert table.objects.filter(currency="EUR").exists()
