"""From what was done on a ticket to the lines that are billed for it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Self

from django.utils import translation
from django.utils.text import capfirst
from django.utils.translation import gettext as _

from shop.billing.labour import Labour, Spell, labour
from shop.billing.models import LabourKind, PartUse
from shop.billing.rates.charges import Charges, charges_of
from shop.billing.rates.free import Free, free_because
from shop.billing.totals import MINUTE, STANDARD, Line
from shop.intake import cover
from shop.intake.models import Taxed, Ticket
from shop.people import queries as people

# Codes of lines: what a line stands for. A fixed line is billed as quoted.
FEE, FEE_CREDIT, PART, CONSUMABLES = "fee", "fee_credit", "part", "consumables"
REASSEMBLY = "reassembly"
LABOUR, FIXED, ESTIMATE = "labour", "fixed", "estimate"
FIXED_JOB, MINIMUM, EXPRESS = "fixed_job", "minimum", "express"
HANDS_ON = {LabourKind.REPAIR, LabourKind.REWORK}


# Minutes that nobody confirmed: kind of work, person, how many.
Running = tuple[str, int, int]


@dataclass(frozen=True)
class Prices:
    """What a ticket is billed at.

    Rates are those of the day it was opened, which the customer was told; tax
    is that of the day it is billed. What is ``free`` costs nothing. Lines speak
    the customer's ``language``, whoever writes them.
    """

    currency: str
    charges: Charges
    free: Free
    tax_percent: Decimal
    tax_category: str
    language: str

    @classmethod
    def of(cls, ticket: Ticket, at: datetime) -> Self:
        today = people.terms_at(ticket.shop, at)
        reversed_ = ticket.customer.taxed == Taxed.REVERSE_CHARGE
        return cls(
            currency=ticket.currency,
            charges=charges_of(ticket),
            free=free_because(ticket),
            tax_percent=Decimal(0 if reversed_ else today.tax_basis_points).scaleb(-2),
            tax_category=Taxed.REVERSE_CHARGE.value if reversed_ else STANDARD,
            language=ticket.customer.language,
        )

    @property
    def increment(self) -> int:
        return self.charges.increment

    @property
    def hourly_rate(self) -> Decimal:
        """What an hour of repair costs, whoever works it."""
        return self.rate(LabourKind.REPAIR)

    def rate(self, kind: str, person_id: int | None = None) -> Decimal:
        return Decimal(0) if self.free else self.charges.rate(kind, person_id)

    def speaking(self) -> translation.override:
        return translation.override(self.language)

    def line(
        self,
        code: str,
        text: str,
        price: Decimal,
        *,
        quantity: int = 1,
        unit: str = "C62",
    ) -> Line:
        """A line at its price; at none, and saying so, where the work is free."""
        if self.free and price:
            with self.speaking():
                text, price = _("%(what)s, at no charge") % {"what": text}, Decimal(0)
        return Line.priced(
            code=code,
            text=text,
            quantity=Decimal(quantity),
            unit=unit,
            unit_price=price,
            tax_percent=self.tax_percent,
            tax_category=self.tax_category,
            currency=self.currency,
        )


def fee_lines(ticket: Ticket, prices: Prices) -> list[Line]:
    """The diagnosis fee; none where the work, or a warranty check yet, is free."""
    is_free = bool(prices.free) or cover.is_free(ticket)
    if not ticket.diagnosis_fee_minor or is_free:
        return []
    with prices.speaking():
        text = _("Diagnosis, as agreed")
    return [prices.line(FEE, text, ticket.diagnosis_fee.amount)]


def reassembly_lines(ticket: Ticket, prices: Prices) -> list[Line]:
    """After a no: put together again, at the price agreed at intake."""
    price = ticket.reassembly_price
    if not price or prices.free or cover.is_free(ticket):
        return []
    return [prices.line(REASSEMBLY, _("Put together again, as agreed"), price.amount)]


def fee_credit_lines(ticket: Ticket, prices: Prices) -> list[Line]:
    """The fee taken off again; a price is never negative, so the quantity is."""
    if not ticket.diagnosis_fee_minor or prices.free:
        return []
    with prices.speaking():
        text = _("Diagnosis taken off, repair accepted")
    fee = ticket.diagnosis_fee.amount
    return [prices.line(FEE_CREDIT, text, fee, quantity=-1)]


def labour_of(
    ticket: Ticket,
    prices: Prices,
    running: Iterable[Running] = (),
    *,
    fixed_minutes: int | None = 0,
) -> tuple[Labour, ...]:
    """The labour recorded; ``running`` are minutes that nobody confirmed yet."""
    recorded = ticket.time_entries.values_list("kind", "person_id", "minutes")
    return labour(
        (
            Spell(kind=kind, rate=prices.rate(kind, person_id), minutes=minutes)
            for kind, person_id, minutes in (*recorded, *running)
        ),
        increment=prices.increment,
        covered_minutes=ticket.diagnosis_minutes,
        fixed_minutes=fixed_minutes,
    )


def labour_lines(bill: Iterable[Labour], prices: Prices) -> list[Line]:
    order = list(LabourKind)
    with prices.speaking():
        return [
            prices.line(
                f"{LABOUR}.{part.kind}",
                _labour_text(LabourKind(part.kind), prices.free),
                part.rate,
                quantity=part.billed,
                unit=MINUTE,
            )
            for part in sorted(bill, key=lambda one: order.index(LabourKind(one.kind)))
            if part.billed
        ]


def standing_parts(ticket: Ticket) -> list[PartUse]:
    """Parts used and not taken back."""
    return list(ticket.part_uses.filter(reverses=None, reversed_by=None))


def part_lines(uses: Iterable[PartUse], prices: Prices) -> list[Line]:
    with prices.speaking():
        return [
            prices.line(PART, _part_text(use), use.price.amount, quantity=use.quantity)
            for use in uses
        ]


def consumables_lines(
    bill: Iterable[Labour], uses: Iterable[PartUse], prices: Prices
) -> list[Line]:
    """The flat line, where hands-on work or a part is billed."""
    is_hands_on = any(part.kind in HANDS_ON and part.billed for part in bill)
    is_due = is_hands_on or any(use.price_minor for use in uses)
    return flat_consumables(prices) if is_due else []


def flat_consumables(prices: Prices) -> list[Line]:
    flat = prices.charges.consumables
    if prices.free or not flat:
        return []
    with prices.speaking():
        text = _("Consumables")
    return [prices.line(CONSUMABLES, text, flat.amount)]


def _labour_text(kind: LabourKind, free: Free) -> str:
    if free:
        text = _("%(what)s, at no charge") if free == Free.GOODWILL else "%(what)s"
        return text % {"what": capfirst(str(kind.label))}
    if kind == LabourKind.DIAGNOSIS:
        return _("Diagnosis beyond the fee")
    if kind == LabourKind.WARRANTY:
        return _("Work under warranty")
    return capfirst(str(kind.label))


def _part_text(use: PartUse) -> str:
    if use.is_salvaged:
        return _("%(part)s, salvaged part") % {"part": use.name}
    return use.name
