"""Invoice, credit note and quote: frozen rows -> context -> HTML -> PDF.

An invoice is printed from its own copies alone, so that it comes out byte for
byte the same when the customer, the shop or the terms have changed since. A quote
keeps the shop as it was; whom it is for is read as they are today.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from typing import Any, Self

from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from shop import pdf
from shop.billing.accounts.paper import (
    Head,
    annex_of,
    heads_of,
    is_monthly,
    period_of,
)
from shop.billing.einvoice.frozen import e_invoice_of
from shop.billing.lines import line_of
from shop.billing.models import Invoice, InvoiceLine, Quote, QuoteLine
from shop.billing.services.issuing import seller_of
from shop.billing.totals import totals
from shop.billing.transfer import payment_code
from shop.billing.wording import (
    long_date,
    number_shown,
    price_text,
    quantity_text,
)
from shop.intake.paper_language import language_of
from shop.money import Money
from shop.people.logos import logo_at
from shop.people.models import Shop
from shop.records.kinds import Kind


@dataclass(frozen=True)
class Row:
    """A line as it is printed."""

    text: str
    quantity: str
    price: str
    net: Money
    head: Head | None = None  # of the ticket that begins here
    sum_of: Head | None = None  # of the ticket that ends here

    @classmethod
    def of(cls, row: InvoiceLine | QuoteLine) -> Self:
        line = line_of(row)
        return cls(line.text, quantity_text(line), price_text(line), line.net)


@dataclass(frozen=True)
class TaxRow:
    percent: str
    taxable: Money
    tax: Money
    reason: str = ""


def invoice_pdf(invoice: Invoice) -> bytes:
    return pdf.render_archived(
        invoice_html(invoice),
        stamp=invoice.issued_at,
        logo=logo_at(invoice.shop, invoice.issued_at),
        e_invoice=e_invoice_of(invoice),
    )


def quote_pdf(quote: Quote) -> bytes:
    logo = logo_at(quote.ticket.shop, quote.sent_at)
    return pdf.render(quote_html(quote), stamp=quote.sent_at, logo=logo)


def invoice_html(invoice: Invoice) -> str:
    language = invoice.texts.get("language", "en")
    with translation.override(language), timezone.override(UTC):
        return render_to_string("papers/invoice.html", _invoice_context(invoice))


def quote_html(quote: Quote) -> str:
    """A version with all its options, whichever of them was meant."""
    ticket = quote.ticket
    options = list(ticket.quotes.filter(version=quote.version).order_by("option"))
    quote = options[0]
    seller = quote.seller or seller_of(ticket.shop)
    with translation.override(_language_of(quote)), timezone.override(UTC):
        context = {
            "stamp": quote.sent_at,
            "has_logo": bool(logo_at(ticket.shop, quote.sent_at)),
            "heading": _("Quote %(version)s") % {"version": quote.version},
            "issued_on": long_date(_day_of(quote.sent_at, ticket.shop)),
            "valid_until": long_date(quote.valid_until),
            "seller": seller,
            "paper_size": seller["paper_size"],
            "buyer": ticket.customer,
            "ticket": ticket.number,
            "device": {"model": ticket.device.model, "serial": ticket.device.serial},
            "quote": quote,
            "fee": ticket.diagnosis_fee,
            "reassembly": ticket.reassembly_price,
            "ways": [
                {
                    "quote": one,
                    "rows": [Row.of(row) for row in one.lines.all()],
                    "taxes": _quote_taxes(one),
                }
                for one in options
            ],
        }
        return render_to_string("papers/quote.html", context)


def _day_of(at: datetime, shop: Shop) -> date:
    return at.astimezone(shop.zone_at(at)).date()


def _language_of(quote: Quote) -> str:
    """That in which it was sent; the customer may speak another by now."""
    return language_of(quote.ticket, Kind.QUOTE_SENT, quote=quote.pk)


def _invoice_context(invoice: Invoice) -> dict[str, Any]:
    return {
        "stamp": invoice.issued_at,
        "has_logo": bool(logo_at(invoice.shop, invoice.issued_at)),
        "heading": f"{_name(invoice)} {invoice.number}",
        "invoice": invoice,
        "issued_on": _long(invoice.texts["issued_on"]),
        "corrects": _corrects(invoice),
        "seller": invoice.seller,
        "paper_size": invoice.seller["paper_size"],
        "buyer": invoice.buyer,
        "ticket": invoice.texts["ticket"],
        "device": invoice.device,
        **_of_one_ticket(invoice),
        "came_on": _long(invoice.texts.get("came_on", "")),
        "proved_on": _long(invoice.texts.get("proved_on", "")),
        "rows": _rows(invoice),
        "taxes": [
            TaxRow(number_shown(part.percent), part.taxable, part.tax, part.reason)
            for part in invoice.taxes.all()
        ],
        "paid": invoice.total - invoice.due_when_issued,
        "due": invoice.due_when_issued,
        "is_electronic": bool(invoice.buyer) and not invoice.plain_because,
        "payment_code": payment_code(invoice),
    }


def _of_one_ticket(invoice: Invoice) -> dict[str, Any]:
    """Its story and readings; of many tickets they stand in the annex."""
    if not is_monthly(invoice):
        return {"story": list(_story(invoice.story)), "evidence": invoice.evidence}
    annex = [one | {"story": list(_story(one["story"]))} for one in annex_of(invoice)]
    return {
        "period": period_of(invoice),
        "order_number": invoice.texts.get("order_number", ""),
        "annex": annex,
    }


def _rows(invoice: Invoice) -> list[Row]:
    rows = [Row.of(row) for row in invoice.lines.all()]
    above, below = heads_of(invoice, [row.net for row in rows])
    return [
        replace(row, head=above.get(place), sum_of=below.get(place))
        for place, row in enumerate(rows, start=1)
    ]


def _name(invoice: Invoice) -> str:
    names = {
        Invoice.Kind.INVOICE: _("Invoice"),
        Invoice.Kind.CREDIT_NOTE: _("Credit note"),
        Invoice.Kind.PREPAYMENT: _("Prepayment invoice"),
    }
    return names[Invoice.Kind(invoice.kind)]


def _corrects(invoice: Invoice) -> dict[str, str] | None:
    if invoice.corrects is None:
        return None
    issued_on = _long(invoice.corrects.texts["issued_on"])
    return {
        "number": invoice.corrects.number,
        "issued_on": issued_on,
        "extent": _extent(invoice, invoice.corrects),
        "reason": invoice.texts.get("reason", ""),
    }


def _extent(note: Invoice, corrected: Invoice) -> str:
    """How much of an invoice its credit note takes."""
    if note.is_partial:
        return "part"
    return "all" if note.total == -corrected.total else "rest"


def _story(story: dict[str, str]) -> Iterable[tuple[str, str]]:
    """What was written of told, found, done and proved, in this order."""
    labels = {
        "told": _("Told"),
        "found": _("Found"),
        "done": _("Done"),
        "proved": _("Proved"),
    }
    for key, label in labels.items():
        if story.get(key):
            yield label, story[key]


def _quote_taxes(quote: Quote) -> list[TaxRow]:
    sums = totals([line_of(row) for row in quote.lines.all()], quote.currency)
    return [
        TaxRow(number_shown(part.percent), part.taxable, part.tax)
        for part in sums.taxes
    ]


def _long(iso_day: str) -> str:
    return long_date(date.fromisoformat(iso_day)) if iso_day else ""
