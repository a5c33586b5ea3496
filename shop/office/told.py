"""Figures as the office's sentences tell them, in the reader's language."""

from decimal import Decimal

from shop.money import Money
from shop.shown import figures

MINUTES_AN_HOUR = 60
NO_BREAK = "\N{NO-BREAK SPACE}"


def percent(share: float) -> str:
    """``0.816`` as “82 %”; under zero with the true minus."""
    return f"{round(100 * share)}{NO_BREAK}%".replace("-", "\N{MINUS SIGN}")


def hours(minutes: float) -> str:
    """Minutes as hours: whole ones from a hundred on.

    >>> hours(90), hours(1230), hours(6030), hours(0)
    ('1.5', '20.5', '100', '0')
    """
    length = minutes / MINUTES_AN_HOUR
    return figures(f"{length:.1f}" if 0 < length < 100 else f"{length:.0f}")


def in_hours(minutes: float) -> float:
    return round(minutes / MINUTES_AN_HOUR, 2)


def money(minor: int, currency: str) -> str:
    return f"{Money.from_minor(minor, currency)}{NO_BREAK}{currency}"


def amount(minor: int | None, currency: str) -> Decimal | None:
    """For the cell of a table."""
    return None if minor is None else Money.from_minor(minor, currency).amount
