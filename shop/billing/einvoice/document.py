"""What an e-invoice says, as plain values. PURE.

The comments name EN 16931's terms: BT is a value, BG a group. Amounts are exact
``Decimal``; a credit note (381) has positive amounts, its kind says what they mean.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

INVOICE, CREDIT_NOTE, PREPAYMENT = "380", "381", "386"  # BT-3, UNTDID 1001
STANDARD, ZERO, EXEMPT, OUTSIDE = "S", "Z", "E", "O"  # BT-151, UNCL 5305
REVERSE, WITHIN_EU, EXPORT = "AE", "K", "G"
CATEGORIES = (STANDARD, ZERO, EXEMPT, REVERSE, WITHIN_EU, EXPORT, OUTSIDE)
# Why there is no tax (BT-121, VATEX); an exemption's reason must be told in words.
REASON_CODES: Mapping[str, str] = {
    REVERSE: "VATEX-EU-AE",
    WITHIN_EU: "VATEX-EU-IC",
    EXPORT: "VATEX-EU-G",
    OUTSIDE: "VATEX-EU-O",
}
NOTHING = Decimal(0)


@dataclass(frozen=True)
class Party:
    """Seller (BG-4) or buyer (BG-7). ``tax_number`` is what is no VAT id."""

    name: str
    country: str  # ISO 3166-1 alpha-2
    address: tuple[str, ...] = ()  # at most three lines
    postcode: str = ""
    town: str = ""
    vat_id: str = ""  # BT-31, BT-48
    tax_number: str = ""  # BT-32
    phone: str = ""
    email: str = ""
    contact: str = ""  # BT-41, BT-56; a seller without one is its own


@dataclass(frozen=True)
class Allowance:
    """What is taken off (BG-20, BG-27), or put on where it ``is_charge``."""

    amount: Decimal
    reason: str
    is_charge: bool = False
    category: str = ""  # of the whole document only: BT-95, BT-102
    percent: Decimal = NOTHING

    @property
    def signed(self) -> Decimal:
        return self.amount if self.is_charge else -self.amount


@dataclass(frozen=True)
class Item:
    """A line (BG-25). ``price`` is for ``price_per`` units (BT-146, BT-149)."""

    text: str
    quantity: Decimal
    unit: str  # UN/ECE Rec. 20
    price: Decimal
    net: Decimal
    category: str
    percent: Decimal
    price_per: int = 1
    note: str = ""  # BT-127
    day: date | None = None  # BT-134 and BT-135
    allowances: tuple[Allowance, ...] = ()


@dataclass(frozen=True)
class TaxPart:
    """Tax of one category and rate (BG-23)."""

    category: str
    percent: Decimal
    taxable: Decimal
    tax: Decimal
    reason: str = ""  # BT-120


@dataclass(frozen=True)
class Sums:
    """BG-22: ``items`` BT-106, ``net`` 109, ``tax`` 110, ``total`` 112, ``paid`` 113,
    ``due`` 115."""

    items: Decimal
    net: Decimal
    tax: Decimal
    total: Decimal
    due: Decimal
    allowances: Decimal = NOTHING  # BT-107
    charges: Decimal = NOTHING  # BT-108
    paid: Decimal = NOTHING


@dataclass(frozen=True)
class Payment:
    """How it is paid (BG-16): ``iban``, or ``account`` as it is printed."""

    iban: str = ""
    account: str = ""
    reference: str = ""  # BT-83
    terms: str = ""  # BT-20


@dataclass(frozen=True)
class Document:
    number: str  # BT-1
    issued_on: date  # BT-2
    currency: str  # BT-5
    seller: Party
    buyer: Party
    items: tuple[Item, ...]
    taxes: tuple[TaxPart, ...]
    sums: Sums
    kind: str = INVOICE
    allowances: tuple[Allowance, ...] = ()
    payment: Payment = field(default_factory=Payment)
    due_on: date | None = None  # BT-9
    delivered_on: date | None = None  # BT-72
    delivered_to: str = ""  # BT-80, the country
    buyer_reference: str = ""  # BT-10
    order: str = ""  # BT-14, the seller's own number of the job
    purchase_order: str = ""  # BT-13, the buyer's own number
    period: tuple[date, date] | None = None  # BT-73, BT-74
    quote: str = ""  # BT-122
    note: str = ""  # BT-22
    preceding: str = ""  # BT-25
    preceding_on: date | None = None  # BT-26

    @property
    def is_outside(self) -> bool:
        """Whether it is outside the scope of VAT: then no VAT id may be named."""
        return any(part.category == OUTSIDE for part in self.taxes)
