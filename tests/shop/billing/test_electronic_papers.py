"""The invoice's PDF is an e-invoice: what is inside, its shape, its bytes."""

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest
from django.utils import timezone
from lxml import etree
from pypdf import PdfReader

from shop.billing import papers
from shop.billing import services as billing
from shop.billing.einvoice.frozen import e_invoice_of
from shop.billing.models import Invoice
from shop.billing.panels import panel
from shop.intake.models import Customer, Ticket
from shop.people.models import Person, Shop, Terms
from shop.records.errors import Refused
from tests.einvoicing import reckoning
from tests.einvoicing.documents import IBAN
from tests.einvoicing.judging import rules_broken, shape_errors
from tests.shop.billing.conftest import a_line, euro
from tests.shop.billing.test_papers import words_of

Act = Callable[..., Any]
RDF = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"
FX = "urn:factur-x:pdfa:CrossIndustryDocument:invoice:1p0#"
PDFA = "http://www.aiim.org/pdfa/ns/id/"


@pytest.fixture
def westmere(hollin_lane: Shop, job: Ticket) -> Shop:
    """The shop in a country, with a VAT id and an IBAN."""
    for row in (hollin_lane, job.shop):
        row.country, row.tax_id, row.account = "IE", "IE 0000318H", IBAN
        row.save()
    return hollin_lane


@pytest.fixture
def bill(westmere: Shop, job: Ticket, send: Act, answer: Act, issue: Act) -> Invoice:
    """A quote was accepted, with two rates on it, and is billed as it was quoted."""
    lines = [
        a_line("35.00", code="fixed", text="Repair"),
        a_line("9.99", code="fixed", text="Manual", tax_percent=Decimal("5.5")),
    ]
    answer(send(lines=[*lines, a_line("35.00")]), is_yes=True)
    made: Invoice = issue(job)
    return made


def text_in(xml: bytes, path: str) -> list[str]:
    return [one.text for one in etree.fromstring(xml).iterfind(path, reckoning.NS)]


def test_an_issued_invoice_carries_xml_that_the_standard_accepts(bill: Invoice) -> None:
    xml = e_invoice_of(bill)
    assert bill.plain_because == ""
    assert shape_errors(xml) == []
    assert rules_broken(xml) == set()
    assert reckoning.faults(xml) == []
    assert text_in(xml, ".//ram:GrandTotalAmount") == [str(bill.total.amount)]
    assert text_in(xml, ".//ram:SpecifiedTaxRegistration/ram:ID") == ["IE0000318H"]
    assert text_in(xml, ".//ram:IBANID") == [IBAN]
    number = bill.texts["ticket"]
    assert text_in(xml, ".//ram:IssuerAssignedID") == [number, f"{number}/1"]


def test_the_pdf_holds_the_xml_and_says_what_it_is(bill: Invoice) -> None:
    """stack.md: what a validator of PDF/A let pass, guarded piece by piece."""
    reader = PdfReader(BytesIO(papers.invoice_pdf(bill)))
    root: Any = reader.trailer["/Root"]
    assert reader.attachments == {"factur-x.xml": [e_invoice_of(bill)]}
    (file,) = {one.idnum: one.get_object() for one in root["/AF"]}.values()
    assert file["/AFRelationship"] == "/Alternative"
    assert file["/EF"]["/F"]["/Subtype"] == "/text/xml"
    assert root["/OutputIntents"][0]["/S"] == "/GTS_PDFA1"
    assert (root["/MarkInfo"]["/Marked"], root["/Lang"]) == (True, "en")
    assert "/StructTreeRoot" in root


def test_the_metadata_is_one_block_about_this_file(bill: Invoice) -> None:
    reader = PdfReader(BytesIO(papers.invoice_pdf(bill)))
    root: Any = reader.trailer["/Root"]
    xmp = etree.fromstring(root["/Metadata"].get_object().get_data())
    (rdf,) = xmp.iter(f"{{{RDF}}}RDF")
    described = list(rdf)
    assert {one.tag for one in described} == {f"{{{RDF}}}Description"}
    assert {one.get(f"{{{RDF}}}about") for one in described} == {""}
    (claim,) = [one for one in described if one.get(f"{{{PDFA}}}part")]
    assert (claim.get(f"{{{PDFA}}}part"), claim.get(f"{{{PDFA}}}conformance")) == (
        "3",
        "A",
    )
    assert {one.tag: one.text for one in xmp.iter(f"{{{FX}}}*")} == {
        f"{{{FX}}}DocumentType": "INVOICE",
        f"{{{FX}}}DocumentFileName": "factur-x.xml",
        f"{{{FX}}}Version": "1.0",
        f"{{{FX}}}ConformanceLevel": "EN 16931",
    }
    assert b"pdfaExtension" in etree.tostring(xmp)


def test_the_same_bytes_a_year_later_whatever_was_set_since(
    bill: Invoice, westmere: Shop, time_machine: Any
) -> None:
    first = papers.invoice_pdf(bill)
    assert papers.invoice_pdf(bill) == first
    Shop.objects.update(
        name="New Name", country="FR", tax_id="", account="", paper_size="Letter"
    )
    Customer.objects.update(name="Somebody Else", country="AT", tax_id="")
    Terms.objects.update(tax_basis_points=0, untaxed_as="O", untaxed_reason="New law")
    time_machine.move_to(timezone.now() + timedelta(days=365), tick=True)
    assert papers.invoice_pdf(Invoice.objects.get(pk=bill.pk)) == first


def test_a_credit_note_is_one_in_its_xml_too(bill: Invoice, ines: Person) -> None:
    """Type 381 says which way the money goes; its amounts are positive."""
    note = billing.credit_note_issue(invoice=bill, by=ines, reason="Wrong name")
    xml = e_invoice_of(note)
    assert (shape_errors(xml), rules_broken(xml)) == ([], set())
    assert reckoning.faults(xml) == []
    assert text_in(xml, ".//ram:TypeCode")[0] == "381"
    assert text_in(xml, ".//ram:GrandTotalAmount") == [str(bill.total.amount)]
    assert text_in(xml, ".//ram:IncludedNote/ram:Content") == ["Wrong name"]
    preceding = ".//ram:InvoiceReferencedDocument/ram:IssuerAssignedID"
    assert text_in(xml, preceding) == [bill.number]
    with pytest.raises(Refused):
        billing.credit_note_issue(invoice=note, by=ines)


def test_without_tax_its_reason_stands_on_paper_and_in_the_xml(
    westmere: Shop, job: Ticket, issue: Act
) -> None:
    Terms.objects.update(tax_basis_points=0, untaxed_reason="Small business.")
    bill = issue(job)
    xml = e_invoice_of(bill)
    assert (shape_errors(xml), rules_broken(xml)) == ([], set())
    assert set(text_in(xml, ".//ram:CategoryCode")) == {"E"}
    assert text_in(xml, ".//ram:ExemptionReason") == ["Small business."]
    assert "Small business." in papers.invoice_html(bill)


def test_a_customer_who_owes_the_tax_is_billed_without(
    westmere: Shop, job: Ticket, work: Act, send: Act, answer: Act, issue: Act
) -> None:
    """Reverse charge, on what was worked and on what was quoted without tax."""
    Customer.objects.update(tax_id="DE 136,695 976", country="DE", taxed="AE")
    job = Ticket.objects.get(pk=job.pk)
    lines = [a_line("80.00", code="fixed", tax_percent=Decimal(0)), a_line("35.00")]
    answer(send(lines=lines), is_yes=True)
    bill = issue(job)
    xml = e_invoice_of(bill)
    assert (bill.total, bill.plain_because) == (euro("115.00"), "")
    assert (shape_errors(xml), rules_broken(xml)) == ([], set())
    assert set(text_in(xml, ".//ram:CategoryCode")) == {"AE"}
    assert text_in(xml, ".//ram:ExemptionReasonCode") == ["VATEX-EU-AE"]
    buyer = ".//ram:BuyerTradeParty//ram:SpecifiedTaxRegistration/ram:ID"
    assert text_in(xml, buyer) == ["DE136695976"]
    assert "Reverse charge: the customer owes the tax." in papers.invoice_html(bill)


@pytest.mark.parametrize(
    ("settings", "why", "said"),
    [
        ({"country": ""}, "seller_country", "the shop’s country was missing"),
        ({"tax_id": ""}, "seller_tax_id", "tax id or VAT id was missing"),
        ({"currency": "KWD"}, "currency", "don’t know this currency"),
    ],
)
def test_what_can_be_no_e_invoice_is_issued_as_a_plain_paper(
    westmere: Shop,
    job: Ticket,
    issue: Act,
    settings: dict[str, str],
    why: str,
    said: str,
) -> None:
    Shop.objects.update(**settings)
    Ticket.objects.update(currency=settings.get("currency", "EUR"))
    job = Ticket.objects.get(pk=job.pk)
    bill = issue(job)
    assert (bill.plain_because, e_invoice_of(bill)) == (why, b"")
    pdf = papers.invoice_pdf(bill)
    assert not PdfReader(BytesIO(pdf)).attachments
    assert f"Invoice {bill.number}" in words_of(pdf)
    assert said in panel(job, Person.objects.get(username="ines"))


def test_what_was_issued_before_stays_a_plain_paper(bill: Invoice) -> None:
    bill.plain_because = "before"
    bill.seller = {k: v for k, v in bill.seller.items() if k not in {"iban", "vat_id"}}
    bill.buyer = {k: v for k, v in bill.buyer.items() if k != "country"}
    assert not PdfReader(BytesIO(papers.invoice_pdf(bill))).attachments
