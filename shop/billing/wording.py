"""Sentences that an issued paper keeps as they were on its day."""

from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _

from shop.billing.totals import HOUR, MINUTE, Line
from shop.money import Money, minor_digits
from shop.people.models import Shop
from shop.shown import date_format, figures


def payment_text(shop: Shop, number: str, due: Money, due_on: date) -> str:
    if due.amount <= 0:
        return _("Paid, thank you.")
    values = {"day": long_date(due_on), "account": shop.account, "number": number}
    if not shop.account:
        return _("Due by %(day)s, at the counter.") % values
    return (
        _(
            "Due by %(day)s. Credit transfer to %(account)s, "
            "reference %(number)s; or at the counter."
        )
        % values
    )


def warranty_text(until: date | None, *, is_liquid: bool) -> str:
    if until is None:
        return ""
    values = {"day": long_date(until)}
    if is_liquid:
        return (
            _(
                "On this repair until %(day)s. Same fault, no charge. After liquid "
                "a second fault can show weeks later; that one is not covered."
            )
            % values
        )
    return (
        _(
            "On this repair until %(day)s. Same fault, no charge. "
            "Drops and liquid are not covered."
        )
        % values
    )


def long_date(day: date) -> str:
    return date_format(day, "j F Y")


def plain_number(number: Decimal) -> str:
    """``60``, ``0.5``, ``−1``: no exponent, no idle zeros, the true minus."""
    text = f"{number.normalize():f}"
    return text.replace("-", "\N{MINUS SIGN}")


def number_shown(number: Decimal) -> str:
    """The same for people to read: with the decimal mark of their language."""
    return figures(plain_number(number))


def quantity_text(line: Line) -> str:
    units = {MINUTE: _("min"), HOUR: _("h")}
    number = number_shown(line.quantity)
    unit = units.get(line.unit)
    return f"{number}\N{NO-BREAK SPACE}{unit}" if unit else number


def price_text(line: Line) -> str:
    """The price with the digits of its currency at least; time's is per hour."""
    digits = minor_digits(line.net.currency)
    price = line.unit_price.normalize()
    shown = max(digits, -int(price.as_tuple().exponent))
    text = figures(f"{price:.{shown}f}")
    if line.unit not in {MINUTE, HOUR}:
        return text
    return _("%(price)s / h") % {"price": text}
