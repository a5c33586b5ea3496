"""What every job owes, summed over all its papers and payments; reads, never writes.

Papers and payments are only ever added, so the sums are kept in the worker's memory
and carried on by what came since. A row with an earlier number may be committed later:
the newest ``TAIL`` numbers are counted, and where more are there than were, all is
summed anew.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime
from heapq import merge
from itertools import groupby
from operator import itemgetter
from typing import Any, NamedTuple

from django.db.models import Count, F, Max, Q, QuerySet, Sum
from django.db.models.expressions import Combinable

from shop.billing import owing
from shop.billing.models import Invoice, Payment
from shop.people.models import Shop
from shop.records.cache import cache

KEPT_SECONDS = 24 * 60 * 60
TAIL = 2000


class Job(NamedTuple):
    """Whose papers and payments are one account: a ticket's, or an invoice's own."""

    kind: str  # "ticket" or "invoice"
    pk: int
    currency: str


class Seen(NamedTuple):
    """The newest row, and how many there are of it and the ``TAIL`` numbers before."""

    newest: int
    many: int


@dataclass(frozen=True)
class Debts:
    """Minor units by job; negative where more is paid than billed, none at nothing."""

    papers: Seen
    payments: Seen
    owed: Mapping[Job, int]


Step = tuple[Job, int]
OfTicket = tuple[int, str, int]  # ticket, currency, minor units


def debts(shop: Shop) -> Mapping[Job, int]:
    """Owed by job, in minor units; a few rows are read while little came since."""
    papers = Invoice.objects.filter(shop=shop)
    payments = Payment.objects.filter(shop=shop)
    key = f"debts-{shop.pk}"
    kept: Debts | None = cache.get(key)
    found = kept and _carried_on(kept, papers, payments)
    if found is None:
        seen = _seen(papers), _seen(payments)
        found = Debts(*seen, _whole(_until(papers, seen[0]), _until(payments, seen[1])))
    if found is not kept:
        cache.set(key, found, KEPT_SECONDS)
    return found.owed


def debts_until(shop: Shop, until: datetime) -> Mapping[Job, int]:
    """As it stood just before a moment; summed anew by the database."""
    papers = Invoice.objects.filter(shop=shop, issued_at__lt=until)
    return _whole(papers, Payment.objects.filter(shop=shop, at__lt=until))


def debt_of(invoice: Invoice) -> Mapping[Job, int]:
    """Of the job that an invoice is of, from its few rows: nothing that was kept."""
    job = job_of(invoice.ticket_id, invoice.pk, invoice.currency)
    if invoice.ticket_id is None:
        papers = Q(pk=invoice.pk) | Q(corrects=invoice.pk)
        payments = Q(invoice=invoice.pk)
    else:
        papers = Q(ticket=invoice.ticket_id)
        payments = Q(ticket=invoice.ticket_id) | Q(invoice__ticket=invoice.ticket_id)
    steps = (
        *_steps_of_papers(Invoice.objects.filter(papers).order_by()),
        *_steps_of_payments(Payment.objects.filter(payments).order_by()),
    )
    return {job: sum(minor for of, minor in steps if of == job)}


def job_of(ticket_id: int | None, invoice_id: int, currency: str) -> Job:
    """Whose an invoice is, that takes nothing back."""
    if ticket_id is not None:
        return Job("ticket", ticket_id, currency)
    return Job("invoice", invoice_id, currency)


def _carried_on(
    kept: Debts, papers: QuerySet[Invoice], payments: QuerySet[Payment]
) -> Debts | None:
    """The kept sums and what came since; ``None`` where that is not all there is."""
    seen = _since(papers, kept.papers), _since(payments, kept.payments)
    if seen == (kept.papers, kept.payments):
        return kept
    new_papers = list(_steps_of_papers(_between(papers, kept.papers, seen[0])))
    new_payments = list(_steps_of_payments(_between(payments, kept.payments, seen[1])))
    is_all = (
        kept.papers.many + len(new_papers) == seen[0].many
        and kept.payments.many + len(new_payments) == seen[1].many
    )
    if not is_all:
        return None
    owed = _even_left_out((*kept.owed.items(), *new_papers, *new_payments))
    return Debts(_seen(papers, seen[0].newest), _seen(payments, seen[1].newest), owed)


def _seen(rows: QuerySet[Any], newest: int | None = None) -> Seen:
    if newest is None:
        newest = rows.order_by("pk").values_list("pk", flat=True).last() or 0
    return Seen(newest, rows.filter(pk__gt=newest - TAIL, pk__lte=newest).count())


def _since(rows: QuerySet[Any], before: Seen) -> Seen:
    """The newest now, counted from where it was counted before."""
    tail = rows.filter(pk__gt=before.newest - TAIL)
    found = tail.aggregate(newest=Max("pk"), count=Count("pk"))
    return Seen(found["newest"] or 0, found["count"])


def _until(rows: QuerySet[Any], seen: Seen) -> QuerySet[Any]:
    return rows.filter(pk__lte=seen.newest)


def _between(rows: QuerySet[Any], before: Seen, now: Seen) -> QuerySet[Any]:
    return rows.filter(pk__gt=before.newest, pk__lte=now.newest).order_by()


def _steps_of_papers(rows: QuerySet[Invoice]) -> Iterator[Step]:
    columns = ("ticket_id", "corrects_id", "pk", "currency")
    for ticket, corrects, pk, currency, total, prepaid in rows.values_list(
        *columns, "total_minor", "prepaid_minor"
    ):
        less = prepaid if ticket is None and corrects is None else 0
        yield job_of(ticket, corrects or pk, currency), total - less


def _steps_of_payments(rows: QuerySet[Payment]) -> Iterator[Step]:
    columns = ("ticket_id", "invoice_id", "invoice__ticket_id", "currency")
    for ticket, invoice, of_ticket, currency, amount, rounding in rows.values_list(
        *columns, "amount_minor", "rounding_minor"
    ):
        settled = rounding - amount
        if invoice is not None and of_ticket is None:
            yield Job("invoice", invoice, currency), settled
        else:
            yield Job("ticket", ticket or of_ticket, currency), settled


def _whole(papers: QuerySet[Invoice], payments: QuerySet[Payment]) -> dict[Job, int]:
    """All jobs, summed by the database and laid together in the order of tickets: only
    what is not even is ever held in memory.
    """
    alone = papers.filter(ticket=None).order_by()
    few = [
        *_steps_of_papers(alone),
        *_steps_of_payments(payments.filter(ticket=None).order_by()),
        *_put_right(payments.filter(ticket__isnull=False, invoice__in=alone)),
    ]
    many = merge(
        _by_ticket(papers, F("total_minor")), _by_ticket(payments, -owing.SETTLED)
    )
    return _even_left_out((*few, *_uneven(many)))


def _put_right(rows: QuerySet[Payment]) -> Iterator[Step]:
    """From the ticket for which it was taken to the invoice over several."""
    yield from _steps_of_payments(rows.order_by())
    for ticket, currency, amount, rounding in rows.values_list(
        "ticket_id", "currency", "amount_minor", "rounding_minor"
    ):
        yield Job("ticket", ticket, currency), amount - rounding


def _even_left_out(steps: Iterable[Step]) -> dict[Job, int]:
    owed: dict[Job, int] = {}
    for job, minor in steps:
        owed[job] = owed.get(job, 0) + minor
    return {job: minor for job, minor in owed.items() if minor}


def _by_ticket(
    rows: QuerySet[Any], column: Combinable
) -> Iterator[tuple[int, str, int]]:
    order = ("ticket_id", "currency")
    rows = rows.filter(ticket__isnull=False).order_by(*order)
    sums = rows.values_list(*order).annotate(sum=Sum(column))
    yield from sums.iterator()


def _uneven(rows: Iterable[OfTicket]) -> Iterator[Step]:
    for (ticket, currency), ones in groupby(rows, key=itemgetter(0, 1)):
        minor = sum(one[2] for one in ones)
        if minor:
            yield Job("ticket", ticket, currency), minor
