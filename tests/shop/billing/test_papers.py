"""Invoice, credit note and quote as paper: words in the HTML, then in the PDF."""

import re
from collections.abc import Callable
from io import BytesIO
from typing import Any

import pytest
from django.utils import timezone, translation
from pypdf import PdfReader

from shop.billing import papers
from shop.billing import services as billing
from shop.billing.models import Invoice, Quote, StockItem
from shop.intake.models import Customer, Device, Ticket
from shop.people.models import Person, Shop
from tests.shop.billing.conftest import EVIDENCE, OPENED, STORY, a_line

pytestmark = pytest.mark.one_database

Act = Callable[..., Any]


def words_of(pdf: bytes) -> str:
    """The PDF's text with single spaces; the font may split a word's letters."""
    text = " ".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages)
    return re.sub(r"\s+", " ", text)


def fetches_nothing(pdf: bytes) -> bool:
    reader = PdfReader(BytesIO(pdf))
    return not reader.attachments and b"/EmbeddedFile" not in pdf


@pytest.fixture
def bill(
    job: Ticket,
    ines: Person,
    shelf: StockItem,
    pay: Act,
    work: Act,
    send: Act,
    answer: Act,
    issue: Act,
) -> Invoice:
    """Case A of domain.md section 12."""
    pay(job, "42.00")
    answer(send("105.00"), is_yes=True)
    work(job, "repair", 55)
    billing.part_use(ticket=job, by=ines, name=shelf.name, cost=shelf.cost, item=shelf)
    invoice: Invoice = issue(job)
    return invoice


def test_the_invoice_tells_the_story_the_readings_and_the_sums(bill: Invoice) -> None:
    html = papers.invoice_html(bill)
    for words in (
        "Invoice 2026-0001",
        "5 March 2026",
        "Hollin Lane Board Repair",
        "Ada Pell",
        "17 Weir Street",
        "Heron-14",
        *STORY.values(),
        "0.2 Ω",
        "18.5–20.0 V",
        "As it came, 2 March 2026",
        "Proved, 4 March 2026",
        "not read",
        "60\N{NO-BREAK SPACE}min",
        "60.00 / h",
        "VAT 20 % on 101.00",
        "20.20",
        "Total, EUR",
        "121.20",
        "79.20",
        "On this repair until 3 June 2026.",
        "reference 2026-0001",
    ):
        assert words in html


def test_the_invoice_comes_out_as_a_page_with_searchable_words(bill: Invoice) -> None:
    pdf = papers.invoice_pdf(bill)
    reader = PdfReader(BytesIO(pdf))
    words = words_of(pdf)
    assert len(reader.pages) == 1
    for piece in ("Invoice 2026-0001", "Ada Pell", "121.20", "79.20", "Page 1 of 1"):
        assert piece in words
    assert reader.metadata is not None
    assert str(reader.metadata.title) == "Invoice 2026-0001"


def test_the_same_invoice_is_the_same_bytes_whatever_has_changed_since(
    bill: Invoice,
) -> None:
    first = papers.invoice_pdf(bill)
    Customer.objects.update(name="Somebody Else")
    Shop.objects.update(name="New Name", time_zone="Pacific/Auckland")
    Device.objects.update(model="Other")
    again = Invoice.objects.get(pk=bill.pk)
    with translation.override("de"), timezone.override("Pacific/Auckland"):
        assert papers.invoice_pdf(again) == first


def test_a_credit_note_names_the_invoice_and_has_no_story(
    bill: Invoice, ines: Person
) -> None:
    note = billing.credit_note_issue(invoice=bill, by=ines, at=OPENED)
    html = papers.invoice_html(note)
    assert "Credit note C2026-0001" in html
    assert "takes back invoice 2026-0001 of 5 March 2026" in html
    assert "\N{MINUS SIGN}121.20" in html
    assert STORY["found"] not in html
    assert words_of(papers.invoice_pdf(note))


def test_a_quote_prints_total_cap_and_what_a_no_means(send: Act) -> None:
    quote = send("100.00", cause="A short on main.", risk="A second fault may show.")
    html = papers.quote_html(quote)
    for words in (
        "Quote 1",
        "A short on main.",
        "A second fault may show.",
        "120.00",
        "up to 132.00 EUR without asking",
        "Valid until 16 March 2026",
        "35.00 EUR and tax",
    ):
        assert words in html
    assert "120.00" in words_of(papers.quote_pdf(quote))


def test_a_quote_names_the_shop_that_sent_it(send: Act) -> None:
    quote = send("100.00")
    first = papers.quote_html(quote)
    Shop.objects.update(
        name="Other", street="Elsewhere 1", tax_id="XX1", phone="0", paper_size="Letter"
    )
    assert papers.quote_html(Quote.objects.get(pk=quote.pk)) == first
    assert "Hollin Lane Board Repair" in first


def test_a_quote_that_kept_no_shop_names_the_present_one(
    send: Act, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(billing.quotes, "seller_of", lambda _shop: {})
    quote = send("100.00")
    Shop.objects.update(name="Another Name", tax_id="IE1234567T")
    html = papers.quote_html(Quote.objects.get(pk=quote.pk))
    assert "Another Name" in html
    assert "IE1234567T" in html


def test_a_long_invoice_goes_over_pages_and_keeps_its_rows_whole(
    job: Ticket, send: Act, answer: Act, issue: Act
) -> None:
    lines = [a_line("1.00", code="fixed", text=f"Line number {n}") for n in range(120)]
    answer(send(lines=[*lines, a_line("35.00")]), is_yes=True)
    pdf = papers.invoice_pdf(issue(job))
    pages = PdfReader(BytesIO(pdf)).pages
    assert len(pages) > 2
    words = words_of(pdf)
    assert words.count("Total, EUR") == 1
    assert f"Page {len(pages)} of {len(pages)}" in words
    assert all(f"Line number {n} " in words for n in range(120))


HOSTILE = [
    "<link rel=attachment href=file:///etc/passwd>",
    "<img src=http://192.0.2.1/x.png>",
    '<a rel="attachment" href="file:///etc/hostname">x</a>',
    "<style>@import url(http://192.0.2.1/x.css)</style>",
    "{{ settings.SECRET_KEY }}{% load i18n %}",
]


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_is_printed_as_text_and_fetches_nothing(
    job: Ticket, issue: Act, text: str
) -> None:
    Customer.objects.update(name=text, address=text)
    job.refresh_from_db()
    pdf = papers.invoice_pdf(issue(job, story=STORY | {"told": text}))
    assert fetches_nothing(pdf)
    squeezed = words_of(pdf).replace(" ", "")
    assert squeezed.count(text.replace(" ", "")) >= 2


@pytest.mark.parametrize("name", ["אדה פל", "عادة", "Ada 🔧 Pell", "A\u0301da", "あだ"])
def test_names_of_any_script_come_out(job: Ticket, issue: Act, name: str) -> None:
    Customer.objects.update(name=name)
    invoice = issue(job)
    assert name in papers.invoice_html(invoice)
    assert papers.invoice_pdf(invoice).startswith(b"%PDF")


def test_a_name_of_ten_thousand_letters_stays_on_the_paper(
    job: Ticket, issue: Act
) -> None:
    evidence = [EVIDENCE[0] | {"name": "x" * 10_000}]
    pdf = papers.invoice_pdf(issue(job, evidence=evidence))
    assert len(PdfReader(BytesIO(pdf)).pages) >= 1
