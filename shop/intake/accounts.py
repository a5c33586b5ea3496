"""What was agreed with an account customer, and when it was in force."""

from copy import copy
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from django.utils import timezone

from shop.intake.account_models import AccountPrices, AccountTerms
from shop.intake.models import Customer, Ticket
from shop.people import queries as people
from shop.people.models import MarkupTier, Terms
from shop.shown import figures


@dataclass(frozen=True)
class Spell:
    """A price list and until when it holds; ``until`` None: until another is set."""

    prices: AccountPrices
    until: datetime | None
    is_now: bool

    @property
    def off(self) -> str:
        """The discount in per cent, as the reader's language writes it."""
        percent = Decimal(self.prices.discount_basis_points).scaleb(-2)
        return figures(f"{percent.normalize():f}")


def rules_at(customer: Customer, when: datetime) -> AccountTerms | None:
    """The rules in force; None where the customer has no account at that moment."""
    if not customer.is_account:
        return None
    rows = customer.account_terms.filter(valid_from__lte=when)
    newest = rows.order_by("valid_from", "id").last()
    return newest if newest is not None and newest.is_open else None


def rules_of(ticket: Ticket, when: datetime | None = None) -> AccountTerms | None:
    """The rules by which a ticket is billed monthly; None: it is paid at handover."""
    return rules_at(ticket.customer, when or timezone.now())


def prices_at(customer: Customer, when: datetime) -> AccountPrices | None:
    """The customer's own list in force at a moment at which the account was open."""
    if rules_at(customer, when) is None:
        return None
    rows = customer.account_prices.filter(valid_from__lte=when)
    return rows.order_by("valid_from", "id").last()


def price_spells(customer: Customer, now: datetime) -> list[Spell]:
    """Every list with the time in which it holds, newest first."""
    rows = list(customer.account_prices.order_by("valid_from", "id"))
    if not rows:
        return []
    ends = [*(row.valid_from for row in rows[1:]), None]
    spells = [
        Spell(row, end, row.valid_from <= now and (end is None or now < end))
        for row, end in zip(rows, ends, strict=True)
        if end is None or end > row.valid_from
    ]
    return spells[::-1]


def terms_of(ticket: Ticket) -> Terms:
    """The shop's terms of the day it was taken in, under the customer's own list."""
    at = ticket.opened_at
    terms = people.terms_at(ticket.shop, at)
    return laid_over(terms, prices_at(ticket.customer, at))


def laid_over(terms: Terms, prices: AccountPrices | None) -> Terms:
    """A copy of the shop's terms with what the list says in place of theirs."""
    if prices is None or prices.currency != terms.shop.currency:
        return terms
    own = copy(terms)
    # What hangs on the terms, as if it had been read: the list's in place of the rows.
    hanging: dict[str, list[MarkupTier]] = {}
    if prices.diagnosis_fee_minor is not None:
        own.diagnosis_fee_minor = prices.diagnosis_fee_minor
    if prices.hourly_rate_minor is not None:
        own.hourly_rate_minor = prices.hourly_rate_minor
        hanging["labour_rates"] = []
    if prices.markup_percent is not None:
        hanging["markup_tiers"] = [MarkupTier(percent=prices.markup_percent)]
    setattr(own, "_prefetched_objects_cache", hanging)  # noqa: B010  Django's own
    return own
