"""From an issued invoice's own copies to what its e-invoice says.

Nothing is read but the invoice's rows: so the XML comes out the same next year.
"""

import re
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import NamedTuple

from shop.billing.accounts.groups import Group, groups_on
from shop.billing.einvoice import cii, rules
from shop.billing.einvoice.document import (
    CREDIT_NOTE,
    INVOICE,
    PREPAYMENT,
    Document,
    Item,
    Party,
    Payment,
    Sums,
    TaxPart,
)
from shop.billing.lines import line_of
from shop.billing.models import Invoice, InvoiceTax
from shop.billing.totals import PRICE_IS_PER, Line

# A postcode before its town, as much of the world writes it; elsewhere both stay one.
POSTCODE_FIRST = re.compile(
    r"([0-9]{4}-[0-9]{3}|[0-9]{2}-[0-9]{3}|[0-9]{3} [0-9]{2}|[0-9]{4} ?[A-Z]{2}"
    r"|[0-9]{4,6}) (\D.*)"
)
MOST_LINES = 3
KINDS: Mapping[str, str] = {
    Invoice.Kind.INVOICE: INVOICE,
    Invoice.Kind.CREDIT_NOTE: CREDIT_NOTE,
    Invoice.Kind.PREPAYMENT: PREPAYMENT,
}


def e_invoice_of(invoice: Invoice) -> bytes:
    """The XML inside this invoice's paper; nothing where it is a plain one."""
    if invoice.plain_because or not invoice.buyer:  # emptied: it names nobody now
        return b""
    lines = [line_of(row) for row in invoice.lines.all()]
    return cii.written(document_of(invoice, lines, invoice.taxes.all()))


def why_plain(
    invoice: Invoice, lines: Sequence[Line], taxes: Iterable[InvoiceTax]
) -> str:
    """Why an invoice, not saved yet, can be no e-invoice; empty if it can."""
    return rules.why_not(document_of(invoice, lines, taxes)) or ""


def document_of(
    invoice: Invoice, lines: Sequence[Line], taxes: Iterable[InvoiceTax]
) -> Document:
    """What an invoice says. A credit note's amounts are turned: its kind says it."""
    sign = -1 if invoice.kind == Invoice.Kind.CREDIT_NOTE else 1
    texts, due = invoice.texts, invoice.due_when_issued
    corrected, groups = invoice.corrects, groups_on(invoice.device, len(lines))
    return Document(
        number=invoice.number,
        kind=KINDS[invoice.kind],
        issued_on=_issued_on(invoice),
        currency=invoice.currency,
        seller=_seller(invoice.seller),
        buyer=_buyer(invoice.buyer),
        items=tuple(
            _item(line, sign, next((g for g in groups if g.has(place)), None))
            for place, line in enumerate(lines, start=1)
        ),
        taxes=tuple(_tax(row, sign) for row in taxes),
        sums=Sums(
            items=invoice.net.amount * sign,
            net=invoice.net.amount * sign,
            tax=invoice.tax.amount * sign,
            total=invoice.total.amount * sign,
            paid=(invoice.total - due).amount * sign,
            due=due.amount * sign,
        ),
        payment=_payment(invoice) if due.amount > 0 else Payment(),
        due_on=invoice.due_on,
        delivered_on=date.fromisoformat(texts.get("proved_on") or texts["issued_on"]),
        buyer_reference=invoice.buyer.get("reference", ""),
        order=texts.get("ticket", ""),
        purchase_order=texts.get("order_number", ""),
        period=_days(texts["period"]) if "period" in texts else None,
        quote=texts.get("quote", ""),
        note=texts.get("reason", ""),
        preceding=corrected.number if corrected else "",
        preceding_on=_issued_on(corrected) if corrected else None,
    )


def _issued_on(invoice: Invoice) -> date:
    return date.fromisoformat(invoice.texts["issued_on"])


def _seller(copy: Mapping[str, str]) -> Party:
    vat_id = copy.get("vat_id", "")
    place = _place([copy["street"], copy["town"]])
    return Party(
        name=copy["name"],
        country=copy["country"],
        vat_id=vat_id,
        tax_number="" if vat_id else copy["tax_id"],
        phone=copy["phone"],
        email=copy["email"],
        address=place.lines,
        postcode=place.postcode,
        town=place.town,
    )


def _buyer(copy: Mapping[str, str]) -> Party:
    place = _place(copy["address"].splitlines())
    return Party(
        name=copy["name"],
        country=copy.get("country", ""),
        vat_id=copy.get("vat_id", ""),
        contact=copy.get("contact", ""),
        email=copy["email"] if copy.get("contact") else "",
        address=place.lines,
        postcode=place.postcode,
        town=place.town,
    )


class Place(NamedTuple):
    lines: tuple[str, ...]
    postcode: str
    town: str


def _place(lines: Iterable[str]) -> Place:
    """An address as it was typed: its last line is the town."""
    typed = [line.strip() for line in lines if line.strip()]
    *before, last = typed or [""]
    match = POSTCODE_FIRST.fullmatch(last)
    if match is None and len(typed) == 1:
        before, last = typed, ""
    if len(before) > MOST_LINES:
        before[MOST_LINES - 1 :] = [", ".join(before[MOST_LINES - 1 :])]
    postcode, town = match.groups() if match else ("", last)
    return Place(tuple(before), postcode, town)


def _days(iso: Iterable[str]) -> tuple[date, date]:
    first, last = map(date.fromisoformat, iso)
    return first, last


def _item(line: Line, sign: int, group: Group | None) -> Item:
    return Item(
        text=line.text,
        quantity=line.quantity * sign,
        unit=line.unit,
        price=line.unit_price,
        price_per=PRICE_IS_PER.get(line.unit, 1),
        net=line.net.amount * sign,
        category=line.tax_category,
        percent=line.tax_percent,
        note=_note(group) if group else "",
        day=date.fromisoformat(group.handed_over) if group else None,
    )


def _note(group: Group) -> str:
    """Which ticket, machine and order a line is of; the buyer's books ask for it."""
    told = (group.ticket, group.model, group.serial, group.order_number, group.contact)
    return ", ".join(filter(None, told))


def _tax(row: InvoiceTax, sign: int) -> TaxPart:
    return TaxPart(
        category=row.category,
        percent=row.percent,
        taxable=row.taxable.amount * sign,
        tax=row.tax.amount * sign,
        reason=row.reason,
    )


def _payment(invoice: Invoice) -> Payment:
    return Payment(
        iban=invoice.seller.get("iban", ""),
        account=invoice.seller["account"],
        reference=invoice.number,
    )
