"""Money that the shop holds and has not billed yet."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Exists, Min, OuterRef, Sum
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shop.billing import owing
from shop.billing.models import Invoice, Payment
from shop.intake.models import Ticket
from shop.office import told
from shop.office.asked import Asked
from shop.office.kept import kept
from shop.office.sections import Column, Kind, Section, Table
from shop.people.models import Shop


@dataclass(frozen=True)
class Deposit:
    ticket: str
    currency: str
    minor: int
    since: datetime


def deposits_of(shop: Shop) -> list[Deposit]:
    """Of open tickets without a standing invoice; the oldest first."""
    waiting = Ticket.objects.filter(shop=shop, handover=None)
    invoices = Invoice.objects.filter(
        ticket=OuterRef("ticket"), kind=Invoice.Kind.INVOICE
    ).exclude(credit_notes__is_partial=False)
    paid = Payment.objects.filter(
        ~Exists(invoices),
        shop=shop,
        ticket__in=list(waiting.values_list("pk", flat=True)),
    )
    rows = (
        paid.order_by()
        .values_list("ticket__number", "currency")
        .annotate(minor=Sum(owing.SETTLED), since=Min("at"))
        .filter(minor__gt=0)
    )
    return sorted((Deposit(*row) for row in rows), key=lambda one: one.since)


def section(shop: Shop, asked: Asked) -> Section:
    held = kept("deposits", shop, asked, lambda: deposits_of(shop))
    return Section(
        code="deposits",
        title=_("Deposits held"),
        unit=_("now"),
        says=" ".join(_said(currency, own) for currency, own in _by(held).items())
        or _("No deposit is held."),
        means=_(
            "What was paid on open tickets that have no invoice yet, less what was "
            "given back: it is owed to the customer until it is billed."
        ),
        table=Table(
            [
                Column("ticket", _("Ticket"), Kind.TICKET),
                Column("currency", _("Currency"), Kind.TEXT),
                Column("held", _("Money held"), Kind.AMOUNT),
                Column("since", _("Since"), Kind.DATE),
            ],
            [
                [
                    one.ticket,
                    one.currency,
                    told.amount(one.minor, one.currency),
                    one.since.astimezone(shop.zone).date(),
                ]
                for one in held
            ],
        ),
    )


def _by(held: Sequence[Deposit]) -> Mapping[str, Sequence[Deposit]]:
    currencies = sorted({one.currency for one in held})
    return {c: [one for one in held if one.currency == c] for c in currencies}


def _said(currency: str, held: Sequence[Deposit]) -> str:
    values = {
        "held": told.money(sum(one.minor for one in held), currency),
        "n": len(held),
    }
    said = ngettext(
        "%(held)s is held on %(n)s open ticket.",
        "%(held)s is held on %(n)s open tickets.",
        len(held),
    )
    return said % values
