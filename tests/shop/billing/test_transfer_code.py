"""The code of a transfer, read back from the printed paper by zxing-cpp."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest

from shop import qr
from shop.billing import papers
from shop.billing.models import Invoice
from shop.billing.transfer import payment_code
from shop.intake.models import Ticket
from shop.people.models import Shop
from tests.einvoicing.documents import IBAN
from tests.shop.intake.papers_seen import codes_of, printed

Act = Callable[..., Any]


DPI = 300


def codes_on(pdf: bytes) -> list[str]:
    return [one.text for one in codes_of(printed(pdf, DPI), DPI)]


def lines_of(name: str, amount: str, iban: str = IBAN) -> list[str]:
    """What a code says that is drawn from these facts."""
    from weasyprint import HTML

    drawn = qr.transfer(
        name=name, iban=iban, amount=Decimal(amount), reference="2026-0001"
    )
    page = f"<style>svg {{ width: 60mm; height: 60mm }}</style>{drawn}"
    return codes_on(HTML(string=page).write_pdf())[0].split("\n")


def test_the_code_has_the_lines_of_epc069_12() -> None:
    """Version 002: service, version, UTF-8, kind, BIC, name, IBAN, amount, purpose,
    structured and free reference (EPC069-12 v2.1, table 1; from memory). The figures
    are those of its example: 12.30 euros are written EUR12.3.
    """
    assert lines_of("Franz Mustermänn", "12.30", "DE71110220330123456789") == [
        "BCD",
        "002",
        "1",
        "SCT",
        "",
        "Franz Mustermänn",
        "DE71110220330123456789",
        "EUR12.3",
        "",
        "",
        "2026-0001",
    ]


@pytest.fixture
def bill(hollin_lane: Shop, job: Ticket, issue: Act) -> Invoice:
    Shop.objects.update(account=IBAN)
    made: Invoice = issue(Ticket.objects.get(pk=job.pk))
    return made


def test_an_invoice_in_euros_prints_a_code_for_what_is_due(bill: Invoice) -> None:
    (code,) = codes_on(papers.invoice_pdf(bill))
    said = code.split("\n")
    assert said[5:8] == ["Hollin Lane Board Repair", IBAN, "EUR42"]
    assert said[10] == bill.number


@pytest.mark.parametrize(
    "changed",
    [
        {"currency": "SEK"},
        {"prepaid_minor": 4200},
        {"kind": "credit_note"},
        {"seller": {"name": "Hollin Lane", "iban": ""}},
        {"total_minor": 10**11},
    ],
)
def test_without_euros_an_iban_or_anything_due_there_is_no_code(
    bill: Invoice, changed: dict[str, Any]
) -> None:
    for name, value in changed.items():
        setattr(bill, name, value)
    assert payment_code(bill) == ""


@pytest.mark.parametrize("name", ["🔧" * 90, "Ünïcode  \x0b & <Sons>", "x" * 200])
def test_a_long_or_odd_name_still_gives_a_code(bill: Invoice, name: str) -> None:
    bill.seller["name"] = name
    assert str(payment_code(bill)).startswith("<svg")
