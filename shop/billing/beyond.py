"""What goes beyond the amount that the customer has said yes to.

Minutes that were worked are kept, whatever was agreed: they are only not billed. A
part is asked for before it is fitted; one that is in the board already is recorded as
such, and not billed beyond the cap either.
"""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing import queries, work
from shop.billing.totals import Line, totals
from shop.intake.models import Ticket
from shop.money import Money
from shop.records.errors import Refused

BEYOND = "beyond"


def part_or_refused(ticket: Ticket, price: Money, quantity: int) -> None:
    """Refuse a part that the amount agreed has no room for."""
    if not price:
        return
    prices = work.Prices.of(ticket, timezone.now())
    part = prices.line(work.PART, "", price.amount, quantity=quantity)
    lines = [*queries.work_lines(ticket), part]
    agreed = queries.agreed(ticket, lines=lines)
    if agreed.left.amount < 0:
        raise Refused(
            _(
                "With it this comes to %(used)s, but the customer has agreed to "
                "%(cap)s: leave it on the shelf and send a new quote first. If it is "
                "in the board already, tick so."
            )
            % {"used": agreed.used, "cap": agreed.cap},
            field="is_in_board",
        )


def said_of_time(ticket: Ticket) -> str:
    """What to say after minutes were kept; empty while they are within the cap."""
    agreed = queries.agreed(ticket)
    if agreed.left.amount >= 0:
        return ""
    return _(
        "The minutes are kept. The work comes to %(used)s, but the customer has agreed "
        "to %(cap)s: what is beyond is not billed without a new yes."
    ) % {"used": agreed.used, "cap": agreed.cap}


def up_to_cap(
    lines: Sequence[Line], cap: Money, prices: work.Prices
) -> tuple[Line, ...]:
    """The lines, and one that takes off what is beyond the cap, tax included.

    Taken off at the rate of the largest line: the total is the cap, or less by what
    one minor unit of net and its tax can't split.
    """
    over = totals(lines, cap.currency).total - cap
    if over.amount <= 0 or not lines:
        return tuple(lines)
    largest = max(lines, key=lambda line: line.net)
    share = 1 + largest.tax_percent / 100
    step = Money.from_minor(1, cap.currency)
    off = Money.of(over.amount / share, cap.currency)
    while totals([*lines, _off(largest, off, prices)], cap.currency).total > cap:
        off += step
    return (*lines, _off(largest, off, prices))


def _off(like: Line, amount: Money, prices: work.Prices) -> Line:
    with prices.speaking():
        text = _("Beyond what was agreed, not charged")
    return replace(
        like,
        code=BEYOND,
        text=text,
        quantity=Decimal(-1),
        unit="C62",
        unit_price=amount.amount,
        net=-amount,
    )
