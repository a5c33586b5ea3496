"""What a quote comes to, before it is sent and when it is: one way, or its options."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from django.utils.translation import gettext as _

from shop.billing.quote_state import LETTERS
from shop.billing.services import checks
from shop.billing.totals import Line, Totals, totals
from shop.intake.models import Ticket
from shop.money import Money, nothing
from shop.people.models import Terms
from shop.records.errors import Refused


@dataclass(frozen=True)
class Option:
    """One way that the customer may choose: its lines come to the common ones."""

    title: str
    lines: Sequence[Line]


NO_OPTION = ("", Option("", ()))


@dataclass(frozen=True)
class Way:
    """What one way of a version comes to, and how far a yes to it goes."""

    letter: str
    title: str
    lines: Sequence[Line]
    sums: Totals
    cap: Money
    deposit: Money


def ways_of(
    ticket: Ticket,
    terms: Terms,
    *,
    lines: Sequence[Line] = (),
    options: Sequence[Option] = (),
    cap: Money | None = None,
    deposit: Money | None = None,
) -> list[Way]:
    """The quote itself, or one way for each option; refuses what can't be sent."""
    _options_or_refused(options, cap)
    found = []
    for letter, option in list(zip(LETTERS, options, strict=False)) or [NO_OPTION]:
        own = [*lines, *option.lines]
        sums = _sums(own, ticket.currency)
        way = Way(
            letter=letter,
            title=option.title.strip(),
            lines=own,
            sums=sums,
            cap=_cap(cap, sums.total, terms),
            deposit=_deposit(deposit, sums.total),
        )
        found.append(way)
    return found


def _options_or_refused(options: Sequence[Option], cap: Money | None) -> None:
    if len(options) == 1 or len(options) > len(LETTERS):
        raise Refused(_("Two or three options, or none."), field="lines")
    if any(not one.title.strip() for one in options):
        raise Refused(_("Say what each option is."), field="option_a")
    if options and cap is not None:
        raise Refused(
            _("Each option has its own cap: the shop’s usual share on its total."),
            field="cap",
        )


def _sums(lines: Sequence[Line], currency: str) -> Totals:
    if not lines:
        raise Refused(_("A quote needs at least one line."), field="lines")
    for line in lines:
        checks.same_currency(line.net, currency, field="lines")
        if not 0 <= line.tax_percent <= 100:
            raise Refused(_("Tax lies between 0 and 100 %."), field="lines")
        if line.unit_price < 0:
            raise Refused(
                _("A price is not negative: take off with a negative quantity."),
                field="lines",
            )
    sums = totals(lines, currency)
    if sums.total.amount < 0:
        raise Refused(_("The lines come to less than nothing."), field="lines")
    return sums


def _cap(cap: Money | None, total: Money, terms: Terms) -> Money:
    if cap is None:
        return total * (1 + Decimal(terms.cap_percent) / 100)
    checks.same_currency(cap, total.currency, field="cap")
    if cap < total:
        raise Refused(
            _("The quote comes to %(total)s: the cap cannot be below it.")
            % {"total": total},
            field="cap",
        )
    return cap


def _deposit(deposit: Money | None, total: Money) -> Money:
    if deposit is None:
        return nothing(total.currency)
    checks.same_currency(deposit, total.currency, field="deposit")
    if not 0 <= deposit.amount <= total.amount:
        raise Refused(
            _("A deposit lies between nothing and the whole %(total)s.")
            % {"total": total},
            field="deposit",
        )
    return deposit
