"""What keeps a document from being an EN 16931 invoice. PURE.

No XML is better than a wrong one: what fails here is issued as a plain paper, and
its owner reads why. The rules' names are those of the public validation artefact.
"""

from collections.abc import Iterator
from decimal import Decimal
from enum import StrEnum

from shop.billing.einvoice import codes
from shop.billing.einvoice.document import (
    CATEGORIES,
    EXEMPT,
    EXPORT,
    NOTHING,
    OUTSIDE,
    REVERSE,
    STANDARD,
    WITHIN_EU,
    Document,
    Item,
    TaxPart,
)
from shop.money import minor_digits, rounded

MOST_DIGITS = 2  # BR-DEC: amounts have at most two decimals


class Why(StrEnum):
    """Why a paper is no e-invoice."""

    BEFORE = "before"
    CURRENCY = "currency"
    SELLER_COUNTRY = "seller_country"
    SELLER_TAX_ID = "seller_tax_id"
    BUYER_NAME = "buyer_name"
    BUYER_COUNTRY = "buyer_country"
    BUYER_VAT_ID = "buyer_vat_id"
    TAX_REASON = "tax_reason"
    TAX_CATEGORY = "tax_category"
    LINES = "lines"
    SUMS = "sums"


def why_not(document: Document) -> Why | None:
    """The first reason that speaks against an e-invoice; ``None`` if none does."""
    return next(_reasons(document), None)


def _reasons(document: Document) -> Iterator[Why]:
    yield from _of_parties(document)
    yield from _of_taxes(document)
    whole = [_is_whole(item, document.currency) for item in document.items]
    if not whole or not all(whole):
        yield Why.LINES  # BR-16, 21 to 27
    if not _adds_up(document):
        yield Why.SUMS


def _of_parties(document: Document) -> Iterator[Why]:
    seller, buyer = document.seller, document.buyer
    is_too_fine = minor_digits(document.currency) > MOST_DIGITS
    if is_too_fine or document.currency not in codes.currencies():
        yield Why.CURRENCY  # BR-DEC, BR-CL-4
    if seller.country not in codes.countries():
        yield Why.SELLER_COUNTRY  # BR-9
    if not seller.name or not (seller.vat_id or seller.tax_number):
        yield Why.SELLER_TAX_ID  # BR-6, BR-CO-26
    if not buyer.name:
        yield Why.BUYER_NAME  # BR-7
    if buyer.country not in codes.countries():
        yield Why.BUYER_COUNTRY  # BR-11


def _of_taxes(document: Document) -> Iterator[Why]:
    categories = {part.category for part in document.taxes}
    if not all(map(_is_lawful, document.taxes)) or (
        OUTSIDE in categories and len(document.taxes) > 1
    ):
        yield Why.TAX_CATEGORY  # BR-CL-18, BR-S-5, BR-Z-5 ..., BR-O-11
    if any(part.category == EXEMPT and not part.reason for part in document.taxes):
        yield Why.TAX_REASON  # BR-E-10
    if categories & {WITHIN_EU, EXPORT} and not document.seller.vat_id:
        yield Why.SELLER_TAX_ID  # BR-IC-2, BR-G-2
    if categories & {REVERSE, WITHIN_EU} and not document.buyer.vat_id:
        yield Why.BUYER_VAT_ID  # BR-AE-2, BR-IC-2
    is_placed = document.delivered_on and document.delivered_to
    if WITHIN_EU in categories and not is_placed:
        yield Why.TAX_CATEGORY  # BR-IC-11, 12


def _is_lawful(part: TaxPart) -> bool:
    """Standard tax has a rate, everything else has none."""
    is_known = part.category in CATEGORIES
    return is_known and (part.percent > 0) == (part.category == STANDARD)


def _is_whole(item: Item, currency: str) -> bool:
    """Named, measured, at a price that is not negative, and its net is right."""
    exact = item.quantity * item.price / item.price_per
    net = exact + sum(one.signed for one in item.allowances)
    return bool(
        item.text
        and item.unit in codes.units()
        and item.price >= 0
        and item.net == rounded(net, currency)
    )


def _adds_up(document: Document) -> bool:
    """BR-CO-10 to 17, and a part for each category and rate (BR-S-8 ...)."""
    sums, extra = document.sums, document.allowances
    off = sum((one.amount for one in extra if not one.is_charge), NOTHING)
    on = sum((one.amount for one in extra if one.is_charge), NOTHING)
    return all(
        (
            sums.items == sum(item.net for item in document.items),
            (sums.allowances, sums.charges) == (off, on),
            sums.net == sums.items - off + on,
            sums.tax == sum(part.tax for part in document.taxes),
            sums.total == sums.net + sums.tax,
            sums.due == sums.total - sums.paid,
            _taxable(document) == _parts(document),
            all(_is_exact(part, document.currency) for part in document.taxes),
            all(_is_fine(sum_, document.currency) for sum_ in vars(sums).values()),
        )
    )


def _taxable(document: Document) -> dict[tuple[str, Decimal], Decimal]:
    found: dict[tuple[str, Decimal], Decimal] = {}
    for item in document.items:
        key = item.category, item.percent
        found[key] = found.get(key, NOTHING) + item.net
    for one in document.allowances:
        key = one.category, one.percent
        found[key] = found.get(key, NOTHING) + one.signed
    return found


def _parts(document: Document) -> dict[tuple[str, Decimal], Decimal]:
    return {(part.category, part.percent): part.taxable for part in document.taxes}


def _is_exact(part: TaxPart, currency: str) -> bool:
    return part.tax == rounded(part.taxable * part.percent / 100, currency)


def _is_fine(amount: Decimal, currency: str) -> bool:
    return amount == rounded(amount, currency)
