"""What an account customer's own list takes off, as a line of its own."""

from collections.abc import Iterable
from decimal import Decimal

from django.utils.translation import gettext as _

from shop.billing import work
from shop.billing.totals import Line
from shop.billing.wording import number_shown
from shop.intake import accounts
from shop.intake.models import Ticket
from shop.money import total

DISCOUNT = "account_discount"


def discount_lines(
    ticket: Ticket, lines: Iterable[Line], prices: work.Prices
) -> list[Line]:
    """The discount on labour, parts and consumables; the fee has a price of its own.

    What was quoted at a fixed price is billed as it was quoted.
    """
    own = accounts.prices_at(ticket.customer, ticket.opened_at)
    if own is None or not own.discount_basis_points:
        return []
    reduced = [line.net for line in lines if is_reduced(line.code)]
    percent = Decimal(own.discount_basis_points).scaleb(-2)
    off = total(reduced, prices.currency) * (percent / 100)
    if off.amount <= 0:
        return []
    with prices.speaking():
        shown = number_shown(percent.normalize())
        text = _("%(percent)s %% off, as agreed") % {"percent": shown}
    return [prices.line(DISCOUNT, text, off.amount, quantity=-1)]


def is_reduced(code: str) -> bool:
    kind = code.partition(".")[0]
    return kind in {work.LABOUR, work.PART, work.CONSUMABLES}
