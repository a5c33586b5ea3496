"""A document as Cross Industry Invoice XML, profile EN 16931 of Factur-X. PURE.

The same document gives the same bytes. Which one may be written is for ``rules`` to
say; nothing is checked or reckoned here.
"""

import re
from datetime import date
from decimal import Decimal
from xml.etree import ElementTree as ET

from drafthorse.models import document as cii
from drafthorse.models.accounting import (
    ApplicableTradeTax,
    BillingSpecifiedPeriod,
    CategoryTradeTax,
)
from drafthorse.models.accounting import TradeAllowanceCharge as CiiAllowance
from drafthorse.models.note import IncludedNote
from drafthorse.models.party import TaxRegistration
from drafthorse.models.party import TradeParty as CiiParty
from drafthorse.models.payment import PaymentMeans, PaymentTerms
from drafthorse.models.references import AdditionalReferencedDocument
from drafthorse.models.tradelines import LineItem

from shop.billing.einvoice.document import (
    OUTSIDE,
    REASON_CODES,
    Allowance,
    Document,
    Item,
    Party,
    TaxPart,
)

PROFILE = "urn:cen.eu:en16931:2017"
SEPA, TRANSFER = "58", "30"  # UNTDID 4461
SUPPORTING = "916"  # UNTDID 1001: a document that supports the invoice
NOT_FOR_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def written(document: Document) -> bytes:
    """The XML, in UTF-8."""
    made = cii.Document()
    made.context.guideline_parameter.id = PROFILE
    made.header.id = plain(document.number)
    made.header.type_code = document.kind
    made.header.issue_date_time = document.issued_on
    if document.note:
        note = IncludedNote()
        note.content = plain(document.note)
        made.header.notes.add(note)
    for place, item in enumerate(document.items, start=1):
        made.trade.items.add(_item(place, item))
    _agreement(made, document)
    _delivery(made, document)
    _settlement(made, document)
    xml: bytes = ET.tostring(made.to_etree(), "utf-8", xml_declaration=True)
    return xml


def plain(text: str) -> str:
    """Text without the signs that XML 1.0 can't hold."""
    return NOT_FOR_XML.sub("", text).strip()


def number(value: Decimal) -> str:
    """No exponent, which XML's decimals don't know."""
    return f"{value:f}"


def _agreement(made: cii.Document, document: Document) -> None:
    agreement = made.trade.agreement
    agreement.buyer_reference = plain(document.buyer_reference)
    _seller(agreement.seller, document.seller, is_outside=document.is_outside)
    _party(agreement.buyer, document.buyer, is_outside=document.is_outside)
    if document.buyer.contact:
        _contact(agreement.buyer, document.buyer, document.buyer.contact)
    agreement.seller_order.issuer_assigned_id = plain(document.order)
    agreement.buyer_order.issuer_assigned_id = plain(document.purchase_order)
    if document.quote:
        quote = AdditionalReferencedDocument()
        quote.issuer_assigned_id = plain(document.quote)
        quote.type_code = SUPPORTING
        agreement.additional_references.add(quote)


def _party(made: CiiParty, party: Party, *, is_outside: bool) -> None:
    made.name = plain(party.name)
    lines = [plain(line) for line in party.address][:3]
    for name, line in zip(("line_one", "line_two", "line_three"), lines, strict=False):
        setattr(made.address, name, line)
    made.address.postcode = plain(party.postcode)
    made.address.city_name = plain(party.town)
    made.address.country_id = party.country
    if party.vat_id and not is_outside:  # BR-O-2
        made.tax_registrations.add(TaxRegistration(id=("VA", plain(party.vat_id))))


def _seller(made: CiiParty, seller: Party, *, is_outside: bool) -> None:
    _party(made, seller, is_outside=is_outside)
    if seller.tax_number:
        number_of_tax = ("FC", plain(seller.tax_number))
        made.tax_registrations.add(TaxRegistration(id=number_of_tax))
    if is_outside or not seller.vat_id:  # BR-CO-26 wants to know it somehow
        made.id = plain(seller.tax_number or seller.vat_id)
    if seller.phone or seller.email:
        _contact(made, seller, seller.contact or seller.name)


def _contact(made: CiiParty, party: Party, name: str) -> None:
    made.contact.person_name = plain(name)
    made.contact.telephone.number = plain(party.phone)
    made.contact.email.address = plain(party.email)


def _delivery(made: cii.Document, document: Document) -> None:
    delivery = made.trade.delivery
    if document.delivered_to:
        delivery.ship_to.address.country_id = document.delivered_to
    if document.delivered_on:
        delivery.event.occurrence = document.delivered_on


def _item(place: int, item: Item) -> LineItem:
    made = LineItem()
    made.document.line_id = str(place)
    if item.note:
        note = IncludedNote()
        note.content = plain(item.note)
        made.document.notes.add(note)
    made.product.name = plain(item.text)
    made.agreement.net.amount = number(item.price)
    if item.price_per != 1:
        made.agreement.net.basis_quantity = (str(item.price_per), item.unit)
    made.delivery.billed_quantity = (number(item.quantity), item.unit)
    tax = made.settlement.trade_tax
    tax.type_code = "VAT"
    tax.category_code = item.category
    if item.category != OUTSIDE:  # BR-O-5
        tax.rate_applicable_percent = number(item.percent)
    if item.day:
        _period(made.settlement.period, item.day, item.day)
    for one in item.allowances:
        made.settlement.allowance_charge.add(_allowance(one))
    made.settlement.monetary_summation.total_amount = number(item.net)
    return made


def _period(made: BillingSpecifiedPeriod, first: date, last: date) -> None:
    made.start, made.end = first, last


def _allowance(one: Allowance) -> CiiAllowance:
    made = CiiAllowance()
    made.indicator = one.is_charge
    made.actual_amount = number(one.amount)
    made.reason = plain(one.reason)
    if one.category:
        tax = CategoryTradeTax()
        tax.type_code = "VAT"
        tax.category_code = one.category
        if one.category != OUTSIDE:
            tax.rate_applicable_percent = number(one.percent)
        made.trade_tax.add(tax)
    return made


def _settlement(made: cii.Document, document: Document) -> None:
    settlement = made.trade.settlement
    settlement.payment_reference = plain(document.payment.reference)
    settlement.currency_code = document.currency
    _payment(made, document)
    for part in document.taxes:
        settlement.trade_tax.add(_tax(part))
    if document.period:
        _period(settlement.period, *document.period)
    for one in document.allowances:
        settlement.allowance_charge.add(_allowance(one))
    if document.due_on or document.payment.terms:
        settlement.terms.add(_terms(document.payment.terms, document.due_on))
    _sums(made, document)
    if document.preceding:
        preceding = settlement.invoice_referenced_document
        preceding.issuer_assigned_id = plain(document.preceding)
        preceding.issue_date_time = document.preceding_on


def _payment(made: cii.Document, document: Document) -> None:
    payment = document.payment
    if not (payment.iban or payment.account):
        return
    means = PaymentMeans()
    is_sepa = payment.iban and document.currency == "EUR"
    means.type_code = SEPA if is_sepa else TRANSFER
    means.payee_account.account_name = plain(document.seller.name)
    if payment.iban:
        means.payee_account.iban = payment.iban
    else:
        means.payee_account.proprietary_id = plain(payment.account)
    made.trade.settlement.payment_means.add(means)


def _tax(part: TaxPart) -> ApplicableTradeTax:
    made = ApplicableTradeTax()
    made.calculated_amount = number(part.tax)
    made.type_code = "VAT"
    made.exemption_reason = plain(part.reason)
    made.basis_amount = number(part.taxable)
    made.category_code = part.category
    made.exemption_reason_code = REASON_CODES.get(part.category, "")
    if part.category != OUTSIDE:
        made.rate_applicable_percent = number(part.percent)
    return made


def _terms(text: str, due_on: date | None) -> PaymentTerms:
    made = PaymentTerms()
    made.description = plain(text)
    made.due = due_on
    return made


def _sums(made: cii.Document, document: Document) -> None:
    sums, summed = document.sums, made.trade.settlement.monetary_summation
    summed.line_total = number(sums.items)
    summed.charge_total = number(sums.charges)
    summed.allowance_total = number(sums.allowances)
    summed.tax_basis_total = (number(sums.net), None)
    summed.tax_total = (number(sums.tax), document.currency)
    summed.grand_total = (number(sums.total), None)
    summed.prepaid_total = number(sums.paid)
    summed.due_amount = number(sums.due)
