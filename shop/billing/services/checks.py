"""What every act about money asks first."""

from datetime import date, datetime

from django.utils.translation import gettext as _

from shop.intake.models import Ticket
from shop.money import Money
from shop.people.models import Shop
from shop.records.errors import Refused


def ticket_locked(ticket: Ticket) -> Ticket:
    """The ticket's row, locked: two acts about its money wait for each other."""
    return (
        Ticket.objects.select_for_update(of=("self",))
        .select_related("shop", "customer", "device")
        .get(pk=ticket.pk)
    )


def same_currency(money: Money, currency: str, *, field: str) -> None:
    if money.currency != currency:
        raise Refused(
            _("This is in %(ours)s, not in %(theirs)s.")
            % {"ours": currency, "theirs": money.currency},
            field=field,
        )


def not_negative(money: Money, *, field: str) -> None:
    if money.amount < 0:
        raise Refused(_("This cannot be below zero."), field=field)


def at_least_one(quantity: int) -> None:
    if quantity < 1:
        raise Refused(_("At least one."), field="quantity")


def shop_day(shop: Shop, at: datetime) -> date:
    """The date on the shop's wall."""
    return at.astimezone(shop.zone).date()
