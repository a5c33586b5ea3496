"""A sale at the counter without a ticket: parts off the shelf, paid and gone.

One transaction: the parts leave the shelf, the invoice has its number, the payment
settles it; or nothing of it is.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from shop.billing import inclusive
from shop.billing.models import Invoice, Payment, StockItem
from shop.billing.selling import returns
from shop.billing.services import checks, issuing
from shop.billing.services.payments import payment_take
from shop.billing.services.prepayments import no_such_price
from shop.billing.shelf import reserving
from shop.billing.shelf.moves import Taken, item_locked, stock_take
from shop.billing.totals import Line, totals
from shop.money import Money
from shop.people import queries as people
from shop.people.models import Person, Shop, Terms
from shop.records.errors import Refused

SALE = "sale"
WHOLE_PRICE = Decimal(100)


@dataclass(frozen=True)
class Sold:
    """What is sold: a part off the shelf, or whatever its text says."""

    text: str
    quantity: Decimal
    price: Money
    tax_percent: Decimal
    item: StockItem | None = None

    def check(self, currency: str) -> None:
        if self.quantity <= 0:
            raise Refused(_("More than nothing is sold."), field="quantity")
        if self.item is not None and self.quantity % 1:
            raise Refused(_("Parts are sold in whole pieces."), field="quantity")
        if not 0 <= self.tax_percent <= WHOLE_PRICE:
            raise Refused(_("A tax between 0 and 100 %."), field="tax_percent")
        if not self.text.strip():
            raise Refused(_("Say what is sold."), field="text")
        checks.same_currency(self.price, currency, field="price")
        checks.not_negative(self.price, field="price")


@dataclass(frozen=True)
class Sale:
    """``change`` is what goes back of the money that was given."""

    invoice: Invoice
    payment: Payment
    change: Money


@transaction.atomic
def sale_do(
    *,
    shop: Shop,
    by: Person,
    sold: Sequence[Sold],
    method: str,
    with_tax: bool,
    given: Money | None = None,
    buyer: Mapping[str, str] | None = None,
    language: str = "",
    at: datetime | None = None,
) -> Sale:
    """Sell it; ``with_tax`` says whether the prices have their tax in them."""
    at = at or timezone.now()
    for one in sold:
        one.check(shop.currency)
    if not sold:
        raise Refused(_("Say what is sold."))
    terms = people.terms_at(shop, at)
    lines = [line.lawful(terms.untaxed_as) for line in _lines(sold, with_tax=with_tax)]
    taken = {
        place: _take_off(one, one.item, shop=shop, by=by, at=at)
        for place, one in enumerate(sold, start=1)
        if one.item is not None
    }
    invoice = _issue(
        shop,
        by,
        lines,
        terms=terms,
        buyer=buyer or {},
        language=language or shop.language_codes[0],
        at=at,
    )
    returns.sold_keep(invoice, taken)
    payment = payment_take(
        shop=shop, by=by, amount=invoice.total, method=method, invoice=invoice, at=at
    )
    return Sale(invoice, payment, _change(payment, given))


def _lines(sold: Sequence[Sold], *, with_tax: bool) -> list[Line]:
    if not with_tax:
        return [_net_line(one) for one in sold]
    priced = [
        inclusive.Priced(SALE, one.text, one.quantity, one.price, one.tax_percent)
        for one in sold
    ]
    try:
        return inclusive.lines_of(priced)
    except inclusive.NoSuchPrice as refusal:
        raise no_such_price(refusal, field="price") from refusal


def _net_line(one: Sold) -> Line:
    return Line.priced(
        code=SALE,
        text=one.text,
        quantity=one.quantity,
        unit_price=one.price.amount,
        tax_percent=one.tax_percent,
        currency=one.price.currency,
    )


def _take_off(
    sold: Sold, item: StockItem, *, shop: Shop, by: Person, at: datetime
) -> list[Taken]:
    if item.shop_id != shop.pk:
        raise Refused(_("This part is not on our shelf."), field="text")
    quantity, locked = int(sold.quantity), item_locked(item)
    reserving.refuse_beyond_free(locked, quantity, at)
    return stock_take(item=locked, by=by, quantity=quantity, at=at)


def _issue(
    shop: Shop,
    by: Person,
    lines: Sequence[Line],
    *,
    terms: Terms,
    buyer: Mapping[str, str],
    language: str,
    at: datetime,
) -> Invoice:
    sums = totals(lines, shop.currency)
    today = checks.shop_day(shop, at)
    serial, number = issuing.number_take(shop, Invoice.Kind.INVOICE, today)
    with translation.override(language):
        paid = _("Paid, thank you.")
    invoice = Invoice(
        shop=shop,
        number=number,
        serial=serial,
        currency=shop.currency,
        seller=issuing.seller_of(shop),
        buyer=issuing.buyer_by_name(shop, buyer),
        device={},
        story={},
        evidence=[],
        net_minor=sums.net.minor,
        tax_minor=sums.tax.minor,
        total_minor=sums.total.minor,
        due_on=today,
        texts={
            "ticket": "",
            "issued_on": str(today),
            "language": language,
            "payment": paid,
            issuing.PAID_AT_ONCE: str(sums.total.minor),
        },
        by=by,
        issued_at=at,
    )
    issuing.write_down(invoice, lines, sums, issuing.reasons_of(terms))
    return invoice


def _change(payment: Payment, given: Money | None) -> Money:
    if given is None or payment.method != Payment.Method.CASH:
        return payment.amount - payment.amount
    if given < payment.amount:
        raise Refused(
            _("%(amount)s is to be paid.") % {"amount": payment.amount}, field="given"
        )
    return given - payment.amount
