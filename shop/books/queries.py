"""Reads of what is owed, and which reminder is due."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import F, OuterRef, Q, QuerySet, Subquery, Sum, Value
from django.db.models.expressions import Combinable
from django.db.models.functions import Coalesce
from django.utils.translation import gettext as _

from shop.billing import owing
from shop.billing.models import Invoice, Payment
from shop.books.models import PaymentReminder, ReminderRule
from shop.books.posting.ageing import Open, spread
from shop.people.models import Shop
from shop.shown import date_format

LEVELS = 3
# Days after the due day (jd); an owner's rule comes before.
DAYS_AT_FIRST = (7, 21, 35)
APART = timedelta(days=7)


def open_invoices(
    shop: Shop, until: datetime | None = None, *, currency: str = ""
) -> list[Open]:
    """What is not paid whole, just before a moment: the oldest due first.

    A job's payments settle its oldest paper first. The sum is what the journal has on
    its account of receivables. ``currency`` is another than the shop's present one.
    """
    own = currency or shop.currency
    papers = Invoice.objects.filter(shop=shop, currency=own)
    payments = Payment.objects.filter(shop=shop, currency=own)
    if until is not None:
        papers = papers.filter(issued_at__lt=until)
        payments = payments.filter(at__lt=until)
    invoices = papers.filter(corrects=None)
    of_tickets = invoices.filter(ticket__isnull=False).annotate(
        owed=_sum(papers, "ticket", "ticket", "total_minor")
        - _sum(_of_tickets(payments), "ticket", "ticket", owing.SETTLED)
    )
    alone = invoices.filter(ticket=None).annotate(
        owed=F("total_minor")
        - F("prepaid_minor")
        + _sum(papers, "corrects", "pk", "total_minor")
        - _sum(payments, "invoice", "pk", owing.SETTLED)
    )
    owed = [
        (row, int(getattr(row, "owed")))  # noqa: B009  an annotation, unknown to mypy
        for rows in (of_tickets, alone)
        for row in rows.filter(owed__gt=0)
    ]
    return sorted(_shared(owed), key=lambda one: (one.due_on, one.pk))


def _of_tickets(payments: QuerySet[Payment]) -> QuerySet[Payment]:
    """But those of an invoice over several tickets."""
    return payments.filter(Q(invoice=None) | Q(invoice__ticket__isnull=False))


def _shared(owing: Iterable[tuple[Invoice, int]]) -> Iterable[Open]:
    """What a job owes, on those of its invoices that no credit note took back."""
    groups: dict[tuple[str, int], list[Invoice]] = {}
    of_job: dict[tuple[str, int], int] = {}
    for row, owed in sorted(owing, key=lambda one: one[0].pk):
        key = ("ticket", row.ticket_id) if row.ticket_id else ("invoice", row.pk)
        groups.setdefault(key, []).append(row)
        of_job[key] = owed
    for key, group in groups.items():
        taken_back = _credited(group)
        totals = [row.total_minor + taken_back.get(row.pk, 0) for row in group]
        for row, owed in zip(group, spread(of_job[key], totals), strict=True):
            if owed:
                buyer = str(row.buyer.get("name", ""))
                yield Open(row.pk, row.number, buyer, row.due_on, owed)


def _credited(group: list[Invoice]) -> dict[int, int]:
    """What credit notes took off the invoices of one job, where it has several."""
    if len(group) == 1:
        return {}
    rows = Invoice.objects.filter(corrects__in=group).order_by()
    sums = rows.values_list("corrects").annotate(sum=Sum("total_minor"))
    return {pk: minor for pk, minor in sums if pk is not None}


def _sum(
    rows: QuerySet[Invoice] | QuerySet[Payment],
    link: str,
    outer: str,
    column: str | Combinable,
) -> Coalesce:
    own = rows.order_by().filter(**{link: OuterRef(outer)}).values(link)
    return Coalesce(Subquery(own.annotate(sum=Sum(column)).values("sum")), Value(0))


def owed_of(invoice: Invoice) -> int:
    """What of this invoice is not paid, in minor units."""
    found = (one for one in open_invoices(invoice.shop) if one.pk == invoice.pk)
    return next((one.owed for one in found), 0)


def days_of(shop: Shop, when: datetime) -> tuple[int, int, int]:
    """After how many days unpaid each reminder may go out."""
    rule = ReminderRule.objects.filter(shop=shop, at__lte=when).last()
    if rule is None:
        return DAYS_AT_FIRST
    return rule.first_days, rule.second_days, rule.last_days


@dataclass(frozen=True)
class Due:
    """The next reminder of an invoice: which, and why it may not go out yet."""

    level: int
    refusal: str = ""
    on: date | None = None


def reminder_due(invoice: Invoice, now: datetime) -> Due:
    return dues([invoice], invoice.shop, now)[invoice.pk]


def dues(invoices: Iterable[Invoice], shop: Shop, now: datetime) -> dict[int, Due]:
    """By invoice, the next reminder; two queries for any number of them."""
    days = days_of(shop, now)
    rows = list(invoices)
    sent: dict[int, PaymentReminder] = {}
    for reminder in PaymentReminder.objects.filter(invoice__in=rows).order_by("level"):
        sent[reminder.invoice_id] = reminder
    return {row.pk: _due(row, sent.get(row.pk), days, shop, now) for row in rows}


def _due(
    invoice: Invoice,
    last: PaymentReminder | None,
    days: tuple[int, ...],
    shop: Shop,
    now: datetime,
) -> Due:
    level = last.level + 1 if last else 1
    if level > LEVELS:
        return Due(LEVELS, _("All three reminders went out: decide what comes now."))
    on = invoice.due_on + timedelta(days=days[level - 1])
    if last:
        on = max(on, last.at.astimezone(shop.zone).date() + APART)
    if now.astimezone(shop.zone).date() < on:
        when = {"n": level, "day": date_format(on, "j F Y")}
        return Due(level, _("Reminder %(n)d may go out on %(day)s.") % when, on)
    return Due(level, on=on)
