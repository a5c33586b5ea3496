"""Credit notes over parts: never more than is left, and to the cent in the end."""

from collections.abc import Callable
from decimal import Decimal
from random import Random
from typing import Any

import pytest
from django.test import Client

from shop.billing import owing, papers, queries
from shop.billing import services as billing
from shop.billing.crediting.left import LineLeft, TooMuch, note_of
from shop.billing.einvoice.frozen import e_invoice_of
from shop.billing.models import Invoice
from shop.billing.totals import Line, TaxSum, totals
from shop.intake.models import Ticket
from shop.money import Money, nothing
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from shop.records.models import Event
from tests.einvoicing import reckoning
from tests.einvoicing.judging import rules_broken, shape_errors
from tests.shop.billing.conftest import OPENED, a_line, euro

Act = Callable[..., Any]


@pytest.fixture
def billed(
    hollin_lane: Shop, job: Ticket, work: Act, send: Act, answer: Act, issue: Act
) -> Invoice:
    """(35 + 60 + 4) and 20 %: 118.80."""
    for shop in (hollin_lane, job.shop):
        shop.country, shop.tax_id = "IE", "IE 0000318H"
        shop.save()
    answer(send("99.00"), is_yes=True)
    work(job, "repair", 60)
    invoice: Invoice = issue(job)
    assert invoice.total == euro("118.80")
    return invoice


@pytest.fixture
def credit(ines: Person) -> Act:
    def note(invoice: Invoice, takes: dict[int, str] | None = None) -> Invoice:
        sums = {place: euro(sum_) for place, sum_ in (takes or {}).items()}
        return billing.credit_note_issue(
            invoice=invoice, by=ines, reason="Goodwill", takes=sums or None
        )

    return note


def place_of(invoice: Invoice, code: str) -> int:
    return int(invoice.lines.get(code=code).position)


def test_a_part_of_a_line_lowers_what_is_owed(
    billed: Invoice, job: Ticket, credit: Act, issue: Act
) -> None:
    place = place_of(billed, "labour.repair")
    note = credit(billed, {place: "10.00"})
    assert (note.number, note.is_partial) == ("C2026-0001", True)
    assert (note.net, note.tax) == (euro("-10.00"), euro("-2.00"))
    assert queries.balance(job).due == euro("106.80")
    assert owing.left_of(billed) == euro("106.80")
    (line,) = note.lines.all()
    assert line.text == "Part of: Repair"
    assert line.corrects == billed.lines.get(position=place)
    with pytest.raises(Refused, match="bills this ticket already"):
        issue(job)
    assert "takes back a part of invoice 2026-0001" in papers.invoice_html(note)
    assert Event.objects.filter(kind="partial_credit_issued").count() == 1


def test_more_than_is_left_of_a_line_is_refused(billed: Invoice, credit: Act) -> None:
    place = place_of(billed, "labour.repair")
    credit(billed, {place: "55.00"})
    for sum_ in ("5.01", "-1.00"):
        with pytest.raises(Refused, match=r"Only 5\.00 is left") as refusal:
            credit(billed, {place: sum_})
        assert refusal.value.field == f"line_{place}"
    with pytest.raises(Refused, match="in EUR, not in SEK"):
        billing.credit_note_issue(
            invoice=billed, by=billed.by, takes={place: Money.of(1, "SEK")}
        )
    assert billed.credit_notes.count() == 1


def test_the_rest_frees_the_work_and_nothing_is_credited_twice(
    billed: Invoice, job: Ticket, credit: Act, issue: Act
) -> None:
    credit(billed, {place_of(billed, "labour.repair"): "10.00"})
    rest = credit(billed)
    assert not rest.is_partial
    assert owing.left_of(billed).amount == 0
    assert queries.standing_invoice(job) is None
    assert "takes back the rest of invoice 2026-0001" in papers.invoice_html(rest)
    with pytest.raises(Refused, match="taken back already"):
        credit(billed)
    assert issue(job).total == euro("118.80")


def test_a_partial_note_is_a_lawful_e_invoice(billed: Invoice, credit: Act) -> None:
    """XSD and Schematron of EN 16931, and the sums a second time in fractions."""
    note = credit(billed, {place_of(billed, "labour.repair"): "10.00"})
    xml = e_invoice_of(note)
    assert b"<ram:TypeCode>381</ram:TypeCode>" in xml
    assert b"2026-0001" in xml
    assert not shape_errors(xml)
    assert not rules_broken(xml)
    assert not reckoning.faults(xml)


def test_the_last_note_takes_the_tax_that_is_left() -> None:
    """0.10 at 20 % has 0.02 tax; three parts of it would round to 0.03."""
    line = a_line("0.10")
    tax_left, taken = euro("0.02"), euro("0.00")
    taxes = []
    for part in ("0.03", "0.03", None):
        left = [LineLeft(1, line, taken)]
        rate = TaxSum("S", Decimal(20), euro("0.10") - taken, tax_left)
        takes = None if part is None else {1: euro(part)}
        note = note_of(left, [rate], takes=takes)
        taxes.append(note.sums.tax.minor)
        tax_left, taken = tax_left + note.sums.tax, taken - note.sums.net
    assert taxes == [-1, -1, 0]
    assert (tax_left, taken) == (euro("0.00"), euro("0.10"))


def test_a_line_beside_what_was_taken_off_is_not_above_the_whole() -> None:
    """100.00 and a credited fee of 35.00: 65.00 is left, not 100.00."""
    lines = [a_line("100.00"), a_line("35.00", quantity=Decimal(-1))]
    left = [LineLeft(n, one, euro("0")) for n, one in enumerate(lines, start=1)]
    with pytest.raises(TooMuch) as refusal:
        note_of(left, list(totals(lines, "EUR").taxes), takes={1: euro("100.00")})
    assert refusal.value.left == euro("65.00")


def test_random_notes_end_at_nothing_left() -> None:
    """500 invoices taken back in random parts: never above, in the end exactly 0."""
    chance = Random(9)
    for _ in range(500):
        lines = [drawn_line(chance) for _ in range(chance.randint(1, 4))]
        sums = totals(lines, "EUR")
        if sums.total.amount <= 0:
            continue
        notes_sum = _credited_to_the_end(lines, chance)
        assert notes_sum == -sums.total


def drawn_line(chance: Random) -> Line:
    return a_line(
        str(Decimal(chance.randint(1, 5000)).scaleb(-2)),
        quantity=Decimal(chance.choice((1, 1, 2, 3))),
        tax_percent=Decimal(chance.choice(("20", "7", "5.5"))),
    )


def _credited_to_the_end(lines: list[Line], chance: Random) -> Money:
    taken = [nothing("EUR") for _ in lines]
    taxes = {(t.category, t.percent): t for t in totals(lines, "EUR").taxes}
    whole = total_left = sum((t.taxable + t.tax for t in taxes.values()), euro("0"))
    for step in range(4):
        left = [LineLeft(n, one, taken[n - 1]) for n, one in enumerate(lines, start=1)]
        open_ones = [one for one in left if one.net]
        if not open_ones:
            break
        one = chance.choice(open_ones)
        part = Money.from_minor(chance.randint(1, one.net.minor), "EUR")
        takes = None if step == 3 else {one.place: part}
        note = note_of(left, list(taxes.values()), takes=takes)
        for place, line in zip(note.places, note.lines, strict=True):
            taken[place - 1] -= line.net
        for t in note.sums.taxes:
            was = taxes[t.category, t.percent]
            taxes[t.category, t.percent] = TaxSum(
                t.category, t.percent, was.taxable + t.taxable, was.tax + t.tax
            )
        total_left += note.sums.total
        assert 0 <= total_left.amount <= whole.amount
        assert note.is_partial == any(
            line.net != gone for line, gone in zip(lines, taken, strict=True)
        )
    return total_left - whole


def test_a_ticket_with_a_partly_credited_invoice_is_settled_at_what_is_left(
    billed: Invoice, job: Ticket, credit: Act, pay: Act
) -> None:
    pay(job, "118.80", at=OPENED)
    credit(billed, {place_of(billed, "labour.repair"): "10.00"})
    assert queries.balance(job).due == euro("-12.00")
    pay(job, "-12.00", reason="Goodwill")
    assert queries.balance(job).due.amount == 0
    with pytest.raises(Refused, match=r"Only 0\.00 is due"):
        pay(job, "0.01")


def test_the_page_takes_a_sum_of_a_line_and_keeps_what_was_typed(
    billed: Invoice, marit: Person
) -> None:
    owner = Client()
    owner.force_login(marit)
    url = f"/invoices/{billed.number}/credit-note/"
    field = f"line_{place_of(billed, 'labour.repair')}"
    said = {
        "reason": "Goodwill",
        "extent": "part",
        "idempotency_key": "a-key-of-the-credit",
    }
    for sums, text in (({field: "60.01"}, "Only 60.00 is left"), ({}, "Only 0.00")):
        answer = owner.post(url, said | sums)
        assert answer.status_code == 422
        assert text in answer.content.decode()
        assert "Goodwill" in answer.content.decode()
    done = [owner.post(url, said | {field: "10,00"}) for _tap in range(2)]
    assert [answer.status_code for answer in done] == [302, 302]
    assert billed.credit_notes.get().net == euro("-10.00")
