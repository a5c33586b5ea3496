"""What was invoiced and paid, month by month; each currency by itself."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.db.models import Case, QuerySet, Sum, Value, When
from django.utils.translation import gettext as _

from shop.billing.models import Invoice, Payment
from shop.office import told
from shop.office.asked import Asked
from shop.office.kept import kept
from shop.office.sections import Cell, Column, Kind, Section, Table
from shop.office.spans import Span, months_of
from shop.people.models import Shop
from shop.shown import date_format

Sums = Mapping[tuple[str, int], int]  # minor units by currency and month


@dataclass(frozen=True)
class Flow:
    """Sums in minor units by currency and month."""

    months: Sequence[Span]
    invoiced: Sums
    paid: Sums

    @property
    def currencies(self) -> list[str]:
        return sorted({currency for currency, _month in (*self.invoiced, *self.paid)})

    def of(self, currency: str) -> tuple[int, int]:
        """Invoiced and paid in all."""
        return _whole(self.invoiced, currency), _whole(self.paid, currency)


def _whole(sums: Sums, currency: str) -> int:
    return sum(minor for (own, _month), minor in sums.items() if own == currency)


def flow_of(shop: Shop, asked: Asked) -> Flow:
    months = months_of(asked.since, asked.until, shop.zone)
    papers = Invoice.objects.filter(shop=shop)
    payments = Payment.objects.filter(shop=shop)
    return Flow(
        months,
        _by_month(papers, "issued_at", "total_minor", months),
        _by_month(payments, "at", "amount_minor", months),
    )


def _by_month(
    rows: QuerySet[Invoice] | QuerySet[Payment],
    moment: str,
    column: str,
    months: Sequence[Span],
) -> Sums:
    """By the shop's calendar: its months are told to the database as moments."""
    if not months:
        return {}
    within = {f"{moment}__gte": months[0].since, f"{moment}__lt": months[-1].until}
    which = Case(
        *(
            When(**{f"{moment}__lt": month.until}, then=Value(n))
            for n, month in enumerate(months)
        )
    )
    found = rows.order_by().filter(**within).annotate(month=which)
    sums = found.values_list("currency", "month").annotate(sum=Sum(column))
    return {(currency, month): minor for currency, month, minor in sums}


def section(shop: Shop, asked: Asked) -> Section:
    flow = kept("flow", shop, asked, lambda: flow_of(shop, asked))
    return Section(
        code="invoiced",
        title=_("Invoiced and paid"),
        unit=_("by month, tax included"),
        says=" ".join(_said(flow, one) for one in flow.currencies)
        or _("Nothing was invoiced or paid in this time."),
        means=_(
            "Invoiced: the totals of all invoices and prepayment invoices, less credit "
            "notes, by the day they were issued. Paid: what changed hands on a day, "
            "less what was given back. Currencies are never added up."
        ),
        table=Table(
            [
                Column("month", _("Month"), Kind.TEXT),
                Column("currency", _("Currency"), Kind.TEXT),
                Column("invoiced", _("Invoiced"), Kind.AMOUNT),
                Column("paid", _("Paid"), Kind.AMOUNT),
            ],
            list(_rows(shop, flow)),
        ),
    )


def _said(flow: Flow, currency: str) -> str:
    invoiced, paid = flow.of(currency)
    values = {
        "invoiced": told.money(invoiced, currency),
        "paid": told.money(paid, currency),
    }
    return _("Invoiced %(invoiced)s, paid %(paid)s.") % values


def _rows(shop: Shop, flow: Flow) -> Sequence[Sequence[Cell]]:
    return [
        (
            date_format(month.since.astimezone(shop.zone), "F Y"),
            currency,
            told.amount(flow.invoiced.get((currency, n), 0), currency),
            told.amount(flow.paid.get((currency, n), 0), currency),
        )
        for currency in flow.currencies
        for n, month in enumerate(flow.months)
    ]
