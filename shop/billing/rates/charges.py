"""What a ticket is charged by. The one place that says which rates are its own.

They are those in force when it was taken in: that is what the customer was told. A
price list of a customer's own goes in here, and nowhere else.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from shop.billing.markup import Tier
from shop.intake import accounts
from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import FixedJob, Terms

ALL_WORK, EVERYBODY = "", None
Special = Mapping[tuple[str, int | None], Decimal]


@dataclass(frozen=True)
class Charges:
    """Rates an hour, markup, flat charges and rules, in the ticket's currency.

    ``special`` are rates by kind and person, where they are not the usual one.
    """

    currency: str
    hourly: Decimal
    special: Special
    increment: int
    consumables: Money
    minimum: Money
    express_percent: int
    no_fix: str
    terms: Terms

    def rate(self, kind: str, person_id: int | None = EVERYBODY) -> Decimal:
        """What an hour costs: the rate said most narrowly, the person before the kind.

        ``(kind, person)``, ``(all work, person)``, ``(kind, everybody)``, the usual.
        """
        asked = ((kind, person_id), (ALL_WORK, person_id), (kind, EVERYBODY))
        found = (self.special[one] for one in asked if one in self.special)
        return next(found, self.hourly)

    def tiers(self) -> list[Tier]:
        """Markup by cost."""
        return list(_tiers(self.terms, self.currency))

    def fixed_jobs(self) -> list[FixedJob]:
        """The catalogue of jobs with one price."""
        return list(self.terms.fixed_jobs.all())


def charges_of(ticket: Ticket) -> Charges:
    """The charges that a ticket goes by, whenever it is billed."""
    return charges_by(accounts.terms_of(ticket), ticket.currency)


def charges_by(terms: Terms, currency: str) -> Charges:
    def money(minor: int) -> Money:
        return Money.from_minor(minor, currency)

    return Charges(
        currency=currency,
        hourly=money(terms.hourly_rate_minor).amount,
        special={
            (row.kind, row.person_id): money(row.rate_minor).amount
            for row in terms.labour_rates.all()
        },
        increment=terms.increment_minutes,
        consumables=money(terms.consumables_minor),
        minimum=money(terms.minimum_minor),
        express_percent=terms.express_percent,
        no_fix=terms.no_fix_rule,
        terms=terms,
    )


def _tiers(terms: Terms, currency: str) -> Iterable[Tier]:
    for tier in terms.markup_tiers.all():
        below = tier.cost_below_minor
        yield Tier(
            cost_below=None if below is None else Money.from_minor(below, currency),
            percent=Decimal(tier.percent),
            minimum=Money.from_minor(tier.minimum_minor, currency),
        )
