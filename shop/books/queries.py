"""Reads of what is owed, and which reminder is due."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import NamedTuple

from django.db.models import Q, Sum
from django.db.models.fields.json import KT
from django.db.models.functions import Coalesce
from django.utils.translation import gettext as _

from shop.billing.models import Invoice
from shop.books.debts import Job, debt_of, debts, debts_until, job_of
from shop.books.models import PaymentReminder, ReminderRule
from shop.books.posting.ageing import Open, spread
from shop.people.models import Shop
from shop.shown import date_format

LEVELS = 3
# Days after the due day (jd); an owner's rule comes before.
DAYS_AT_FIRST = (7, 21, 35)
APART = timedelta(days=7)
AT_ONCE = 500


def open_invoices(
    shop: Shop, until: datetime | None = None, *, currency: str = ""
) -> list[Open]:
    """What is not paid whole, just before a moment: the oldest due first.

    A job's payments settle its oldest paper first. The sum is what the journal has on
    its account of receivables. ``currency`` is another than the shop's present one.
    """
    own = currency or shop.currency
    owed = debts(shop) if until is None else debts_until(shop, until)
    in_it = {job: minor for job, minor in owed.items() if job.currency == own}
    return sorted(unpaid(in_it, until), key=lambda one: (one.due_on, one.pk))


def owed_of(invoice: Invoice) -> int:
    """What of this invoice is not paid, in minor units."""
    found = (one for one in unpaid(debt_of(invoice)) if one.pk == invoice.pk)
    return next((one.owed for one in found), 0)


def unpaid(owed: Mapping[Job, int], until: datetime | None = None) -> Iterator[Open]:
    """The invoices of which something is unpaid, by what their jobs owe."""
    owing = {job: minor for job, minor in owed.items() if minor > 0}
    of_job = defaultdict[Job, list[Invoiced]](list)
    for kind, column in (("ticket", "ticket__in"), ("invoice", "pk__in")):
        keys = sorted(job.pk for job in owing if job.kind == kind)
        for start in range(0, len(keys), AT_ONCE):
            some = {column: keys[start : start + AT_ONCE]}
            for one in _invoiced(some, until):
                of_job[job_of(one.ticket_id, one.pk, one.currency)].append(one)
    for job, group in of_job.items():
        left = [one.total + one.back for one in group]
        for one, part in zip(group, spread(owing.get(job, 0), left), strict=True):
            if part > 0:
                said = one.number, one.buyer or "", one.due_on
                yield Open(one.pk, *said, part, job.currency)


class Invoiced(NamedTuple):
    """An invoice, and what credit notes took ``back`` of it: not above zero."""

    pk: int
    ticket_id: int | None
    currency: str
    number: str
    buyer: str | None
    due_on: date
    total: int
    back: int


def _invoiced(which: dict[str, list[int]], until: datetime | None) -> list[Invoiced]:
    """The oldest first. Rows are wide, with copies of everything: these columns do."""
    rows, notes = Invoice.objects.filter(corrects=None, **which), Q()
    if until is not None:
        rows = rows.filter(issued_at__lt=until)
        notes = Q(credit_notes__issued_at__lt=until)
    back = Coalesce(Sum("credit_notes__total_minor", filter=notes), 0)
    columns = ("pk", "ticket_id", "currency", "number", "buyer_name", "due_on")
    found = rows.annotate(buyer_name=KT("buyer__name"), back=back).order_by("pk")
    return [
        Invoiced(*row) for row in found.values_list(*columns, "total_minor", "back")
    ]


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
    """By invoice, the next reminder."""
    days, rows = days_of(shop, now), list(invoices)
    sent = newest_reminders(row.pk for row in rows)
    return {row.pk: _due(row, sent.get(row.pk), days, shop, now) for row in rows}


def newest_reminders(invoices: Iterable[int]) -> dict[int, PaymentReminder]:
    """By invoice, the last that went out; one query for ``AT_ONCE`` invoices."""
    keys, found = list(invoices), dict[int, PaymentReminder]()
    for start in range(0, len(keys), AT_ONCE):
        some = PaymentReminder.objects.filter(invoice__in=keys[start : start + AT_ONCE])
        found |= {one.invoice_id: one for one in some.order_by("level")}
    return found


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
