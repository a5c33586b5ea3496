"""Documents for e-invoices: one plain, and as many drawn by chance as are wanted."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from random import Random
from typing import Any

from shop.billing.einvoice.document import (
    CREDIT_NOTE,
    EXEMPT,
    EXPORT,
    INVOICE,
    OUTSIDE,
    PREPAYMENT,
    REVERSE,
    STANDARD,
    WITHIN_EU,
    ZERO,
    Allowance,
    Document,
    Item,
    Party,
    Payment,
    Sums,
    TaxPart,
)
from shop.billing.totals import PRICE_IS_PER, Line, totals
from shop.money import Money

IBAN = "IE71HLBR99000000000318"  # the bank is invented, the check digits fit
SELLER = Party(
    name="Hollin Lane Board Repair",
    country="IE",
    address=("4 Hollin Lane",),
    town="Westmere",
    vat_id="IE0000318H",
    phone="+353 20 915 0100",
    email="desk@hollinlane.example",
)
BUYER = Party("Ada Pell", "DE", ("17 Weir Street",), "12345", "Wehrstadt")
WITH_VAT_ID = replace(BUYER, vat_id="DE136695976")  # python-stdnum's own example
DAY = date(2026, 3, 5)
# What every document names, whatever it bills.
PLAIN_PARTIES: dict[str, Any] = {
    "number": "2026-0001",
    "issued_on": DAY,
    "seller": SELLER,
    "buyer": BUYER,
    "payment": Payment(iban=IBAN, reference="2026-0001"),
    "due_on": DAY + timedelta(days=14),
    "delivered_on": DAY,
}
REASON = {EXEMPT: "Small business, no tax is charged."}
RATES = ("5.5", "7", "10", "19", "20", "25")
UNITS = ("C62", "H87", "HUR", "MIN", "DAY", "SET")
CENT = Decimal("0.01")


def line(
    quantity: str = "1",
    price: str = "100.00",
    percent: str = "20",
    category: str = STANDARD,
    *,
    unit: str = "C62",
    currency: str = "EUR",
) -> Line:
    return Line.priced(
        code="fixed",
        text="Repair",
        quantity=Decimal(quantity),
        unit=unit,
        unit_price=Decimal(price),
        tax_percent=Decimal(percent),
        tax_category=category,
        currency=currency,
    )


def document(
    *lines: Line,
    allowances: Sequence[Allowance] = (),
    paid: str = "0.00",
    **more: Any,
) -> Document:
    """What is billed, added up by the house's own ``totals``."""
    lines = lines or (line(),)
    currency = lines[0].net.currency
    beside = [_as_line(one, currency) for one in allowances]
    sums = totals([*lines, *beside], currency)
    off = sum((one.amount for one in allowances if not one.is_charge), Decimal(0))
    on = sum((one.amount for one in allowances if one.is_charge), Decimal(0))
    made = Document(
        **PLAIN_PARTIES,
        currency=currency,
        items=tuple(map(item, lines)),
        taxes=tuple(
            TaxPart(
                part.category,
                part.percent,
                part.taxable.amount,
                part.tax.amount,
                REASON.get(part.category, ""),
            )
            for part in sums.taxes
        ),
        sums=Sums(
            items=sums.net.amount + off - on,
            allowances=off,
            charges=on,
            net=sums.net.amount,
            tax=sums.tax.amount,
            total=sums.total.amount,
            paid=Decimal(paid),
            due=sums.total.amount - Decimal(paid),
        ),
        allowances=tuple(allowances),
    )
    return replace(made, **more)


def item(line: Line) -> Item:
    return Item(
        text=line.text,
        quantity=line.quantity,
        unit=line.unit,
        price=line.unit_price,
        price_per=PRICE_IS_PER.get(line.unit, 1),
        net=line.net.amount,
        category=line.tax_category,
        percent=line.tax_percent,
    )


def _as_line(one: Allowance, currency: str) -> Line:
    made = line("1", "0.00", str(one.percent), one.category, currency=currency)
    return replace(made, net=Money.of(one.signed, currency))


def drawn(chance: Random) -> Document:
    """Any lawful invoice or credit note: rates, categories, discounts, advances."""
    currency = chance.choice(("EUR", "EUR", "SEK", "CHF", "JPY"))
    alone = chance.choice(
        (REVERSE, WITHIN_EU, EXPORT, OUTSIDE, EXEMPT, *[STANDARD] * 6)
    )
    lines = [drawn_line(chance, alone, currency) for _ in range(chance.randint(1, 6))]
    if chance.random() < 0.3:
        lines.append(advance_off(chance, lines))
    allowances = drawn_allowances(chance, lines) if chance.random() < 0.4 else []
    made = document(*lines, allowances=allowances)
    if chance.random() < 0.5 and made.sums.total > 0:
        paid = Money.of(made.sums.total * chance.randint(0, 100) / 100, currency)
        made = document(*lines, allowances=allowances, paid=str(paid.amount))
    if chance.random() < 0.3:
        made = discounted(made, chance)
    return replace(
        made,
        kind=chance.choice((INVOICE, INVOICE, CREDIT_NOTE, PREPAYMENT)),
        buyer=WITH_VAT_ID,
        delivered_to="DE" if alone == WITHIN_EU else "",
        preceding=chance.choice(("", "2026-0000")),
        preceding_on=DAY,
        quote=chance.choice(("", "2382/1")),
        order=chance.choice(("", "2382")),
        buyer_reference=chance.choice(("", "PO & <318>")),
        payment=chance.choice(
            (Payment(), Payment(iban=IBAN), Payment(account="sort 00, acct 3"))
        ),
    )


def drawn_line(chance: Random, alone: str, currency: str) -> Line:
    category = alone
    if alone == STANDARD:
        category = chance.choice((STANDARD, STANDARD, STANDARD, ZERO, EXEMPT))
    quantity = Decimal(chance.randint(1, 99_999)).scaleb(-chance.randint(0, 3))
    return line(
        str(-quantity if chance.random() < 0.15 else quantity),
        str(Decimal(chance.randint(0, 5_000_000)).scaleb(-4)),
        chance.choice(RATES) if category == STANDARD else "0",
        category,
        unit=chance.choice(UNITS),
        currency=currency,
    )


def advance_off(chance: Random, lines: Sequence[Line]) -> Line:
    """An advance with an invoice of its own, taken off at the tax of a line."""
    one = chance.choice(lines)
    most = abs(one.net.amount)
    price = Money.of(most * chance.randint(0, 100) / 100, one.net.currency).amount
    return line(
        "-1",
        str(price),
        str(one.tax_percent),
        one.tax_category,
        currency=one.net.currency,
    )


def drawn_allowances(chance: Random, lines: Sequence[Line]) -> list[Allowance]:
    """Off or on the whole document, each at the tax of one of its lines."""
    return [
        Allowance(
            Money.of(chance.randint(1, 5000), one.net.currency).amount,
            "Because of a long wait",
            is_charge=chance.random() < 0.3,
            category=one.tax_category,
            percent=one.tax_percent,
        )
        for one in chance.sample(lines, min(len(lines), chance.randint(1, 2)))
    ]


def discounted(made: Document, chance: Random) -> Document:
    """The same nets, reached by a higher price and something off on its line."""
    first, *rest = made.items
    if first.quantity <= 0:
        return made
    off = Money.of(chance.randint(1, 500), made.currency).amount
    dearer = replace(first, price=first.price + 1)
    net = Money.of(dearer.quantity * dearer.price / dearer.price_per, made.currency)
    change = net.amount - off - first.net
    cut = Allowance(off + change, "Discount", is_charge=False)
    if cut.amount < 0:
        return made
    return replace(made, items=(replace(dearer, allowances=(cut,)), *rest))
