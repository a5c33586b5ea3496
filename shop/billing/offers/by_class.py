"""What a part may cost that is not on the shelf: as last time, else by its class."""

from collections.abc import Mapping
from decimal import Decimal

from shop.billing import markup
from shop.billing.models import PartUse
from shop.billing.rates.charges import charges_of
from shop.intake.models import Ticket
from shop.money import Money

# The upper end of each class of cost in whole units of the currency (domain.md 5, jd);
# the last class is open, so nothing is said of it.
MOST: Mapping[str, Decimal] = {
    "A": Decimal(1),
    "B": Decimal(5),
    "C": Decimal(20),
    "D": Decimal(60),
}


def typical_price(ticket: Ticket, part_id: str, cost_class: str) -> Money | None:
    """With the shop's markup; None where nobody can say."""
    cost = _last_cost(ticket, part_id) or _of_class(ticket, cost_class)
    return None if cost is None else markup.price_of(cost, charges_of(ticket).tiers())


def _last_cost(ticket: Ticket, part_id: str) -> Money | None:
    before = PartUse.objects.filter(
        ticket__shop=ticket.shop,
        part_id=part_id,
        currency=ticket.currency,
        is_salvaged=False,
        reverses=None,
        reversed_by=None,
    ).exclude(part_id="")
    use = before.order_by("id").last()
    return use.cost if use is not None else None


def _of_class(ticket: Ticket, cost_class: str) -> Money | None:
    most = MOST.get(cost_class)
    return None if most is None else Money.of(most, ticket.currency)
