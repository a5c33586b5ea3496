"""The table of advances: what was held, what moved, and what is held at the end."""

from collections.abc import Iterator

from django.utils.translation import gettext as _

from shop.books.advances import Moved, Owner, by_owner, held
from shop.books.naming import Accounts
from shop.books.periods import Period
from shop.books.tables import Cells, amount, moment


def advances(period: Period, accounts: Accounts) -> Iterator[Cells]:
    """By account and owner: a first row, the moves of the period, a last row."""
    yield (
        _("account"),
        _("account name"),
        _("customer"),
        _("ticket"),
        _("at"),
        _("what"),
        _("document"),
        _("how"),
        _("amount"),
        _("held"),
        _("currency"),
    )
    found = by_owner(period)
    found.sort(key=lambda one: accounts.number(one[0].account))
    for owner, moves in found:
        yield from _of_owner(owner, moves, period, accounts)


def _of_owner(
    owner: Owner, found: list[Moved], period: Period, accounts: Accounts
) -> Iterator[Cells]:
    whose = accounts.number(owner.account), accounts.name(owner.account), owner.name
    currency = owner.currency
    now = held(found, period.start)

    def row(number: str, *cells: object) -> Cells:
        return (*whose, number, *cells, amount(now, currency), currency)

    yield row(owner.number, period.first, _("held at the start"), "", "", "")
    for one in found:
        if one.at < period.start:
            continue
        now += one.minor
        at, moved = moment(one.at, period), amount(one.minor, currency)
        number = one.number or owner.number
        yield row(number, at, one.what, one.document, one.how, moved)
    yield row(owner.number, period.last, _("held at the end"), "", "", "")
