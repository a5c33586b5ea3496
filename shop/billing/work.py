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
from shop.billing.lines import line_of
from shop.billing.markup import Tier
from shop.billing.models import LabourKind, PartUse, Quote
from shop.billing.totals import MINUTE, STANDARD, Line
from shop.intake import accounts, cover
from shop.intake.models import Taxed, Ticket
from shop.money import Money
from shop.people import queries as people
from shop.people.models import Terms

# Codes of lines: what a line stands for. A fixed line is billed as quoted.
FEE, FEE_CREDIT, PART, CONSUMABLES = "fee", "fee_credit", "part", "consumables"
REASSEMBLY = "reassembly"
LABOUR, FIXED, ESTIMATE = "labour", "fixed", "estimate"
HANDS_ON = {LabourKind.REPAIR, LabourKind.REWORK}


@dataclass(frozen=True)
class Prices:
    """What a ticket is billed at.

    Rates are those of the day it was opened, which the customer was told; tax
    is that of the day it is billed. Work under warranty costs nothing. Lines speak
    the customer's ``language``, whoever writes them.
    """

    currency: str
    hourly_rate: Decimal
    increment: int
    consumables: Money
    tax_percent: Decimal
    tax_category: str
    terms: Terms
    language: str

    @classmethod
    def of(cls, ticket: Ticket, at: datetime) -> Self:
        terms = accounts.terms_of(ticket)
        today = terms if at == ticket.opened_at else people.terms_at(ticket.shop, at)
        billed = 0 if cover.is_covered(ticket) else 1
        reversed_ = ticket.customer.taxed == Taxed.REVERSE_CHARGE
        return cls(
            currency=ticket.currency,
            hourly_rate=_money(billed * terms.hourly_rate_minor, ticket).amount,
            increment=terms.increment_minutes,
            consumables=_money(billed * terms.consumables_minor, ticket),
            tax_percent=Decimal(0 if reversed_ else today.tax_basis_points).scaleb(-2),
            tax_category=Taxed.REVERSE_CHARGE.value if reversed_ else STANDARD,
            terms=terms,
            language=ticket.customer.language,
        )

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
    """The diagnosis fee; none while a warranty check is free."""
    if not ticket.diagnosis_fee_minor or cover.is_free(ticket):
        return []
    with prices.speaking():
        text = _("Diagnosis, as agreed")
    return [prices.line(FEE, text, ticket.diagnosis_fee.amount)]


def reassembly_lines(ticket: Ticket, prices: Prices) -> list[Line]:
    """After a no: put together again, at the price agreed at intake."""
    price = ticket.reassembly_price
    if not price or cover.is_free(ticket):
        return []
    return [prices.line(REASSEMBLY, _("Put together again, as agreed"), price.amount)]


def fee_credit_lines(ticket: Ticket, prices: Prices) -> list[Line]:
    """The fee taken off again; a price is never negative, so the quantity is."""
    if not ticket.diagnosis_fee_minor:
        return []
    with prices.speaking():
        text = _("Diagnosis taken off, repair accepted")
    fee = ticket.diagnosis_fee.amount
    return [prices.line(FEE_CREDIT, text, fee, quantity=-1)]


def labour_of(
    ticket: Ticket, prices: Prices, running: Iterable[tuple[str, int]] = ()
) -> tuple[Labour, ...]:
    """The labour recorded; ``running`` are minutes that nobody confirmed yet."""
    recorded = ticket.time_entries.values_list("kind", "minutes")
    return labour(
        (
            Spell(kind=kind, rate=prices.hourly_rate, minutes=minutes)
            for kind, minutes in (*recorded, *running)
        ),
        increment=prices.increment,
        covered_minutes=ticket.diagnosis_minutes,
    )


def labour_lines(bill: Iterable[Labour], prices: Prices) -> list[Line]:
    order = list(LabourKind)
    with prices.speaking():
        return [
            prices.line(
                f"{LABOUR}.{part.kind}",
                _labour_text(LabourKind(part.kind)),
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


def fixed_lines(accepted: Quote | None) -> list[Line]:
    if accepted is None:
        return []
    return [line_of(row) for row in accepted.lines.filter(code=FIXED)]


def consumables_lines(
    bill: Iterable[Labour], uses: Iterable[PartUse], prices: Prices
) -> list[Line]:
    """The flat line, where hands-on work or a part is billed."""
    is_hands_on = any(part.kind in HANDS_ON for part in bill)
    is_due = is_hands_on or any(use.price_minor for use in uses)
    return flat_consumables(prices) if is_due else []


def flat_consumables(prices: Prices) -> list[Line]:
    if not prices.consumables:
        return []
    with prices.speaking():
        text = _("Consumables")
    return [prices.line(CONSUMABLES, text, prices.consumables.amount)]


def tiers_of(terms: Terms, currency: str) -> list[Tier]:
    return [
        Tier(
            cost_below=None
            if tier.cost_below_minor is None
            else Money.from_minor(tier.cost_below_minor, currency),
            percent=Decimal(tier.percent),
            minimum=Money.from_minor(tier.minimum_minor, currency),
        )
        for tier in terms.markup_tiers.all()
    ]


def _labour_text(kind: LabourKind) -> str:
    if kind == LabourKind.DIAGNOSIS:
        return _("Diagnosis beyond the fee")
    if kind == LabourKind.WARRANTY:
        return _("Work under warranty")
    return capfirst(str(kind.label))


def _part_text(use: PartUse) -> str:
    if use.is_salvaged:
        return _("%(part)s, salvaged part") % {"part": use.name}
    return use.name


def _money(minor: int, ticket: Ticket) -> Money:
    return Money.from_minor(minor, ticket.currency)
