"""The journal of a period: rows of the house turned into entries that balance.

Read in pieces, so that a big year needs no more memory than a small one. What a job
owed before is reckoned from all its papers and payments, however old.
"""

from collections.abc import Iterable, Iterator
from heapq import merge
from itertools import islice
from typing import Any, TypeVar

from django.db.models import (
    BigIntegerField,
    Case,
    F,
    IntegerField,
    Q,
    QuerySet,
    Sum,
    Value,
    When,
)
from django.db.models.functions import Coalesce

from shop.billing.models import (
    Invoice,
    InvoiceLine,
    InvoiceTax,
    Payment,
)
from shop.billing.services.prepayments import PREPAYMENT
from shop.books import deposits, goods
from shop.books.dated import PIECE, Dated, day_of, mark_of, rows_in
from shop.books.models import CashDay, CashMove
from shop.books.periods import Period
from shop.books.posting import others
from shop.books.posting.accounts import Rate
from shop.books.posting.entries import Entry
from shop.books.posting.owed import Fact, Paid, Paper, TaxPart, booked
from shop.people.models import Shop

T = TypeVar("T")
# Papers are wide: what was issued stands in them as it was.
OF_PAPERS = (
    *("issued_at", "kind", "number", "currency", "total_minor", "prepaid_minor"),
    *("ticket", "corrects"),
)
OF_PAYMENTS = (
    *("at", "currency", "amount_minor", "method", "rounding_minor"),
    *("ticket", "invoice__ticket", "invoice__corrects"),
)


def entries(period: Period) -> Iterator[Entry]:
    """Every entry of the period, in the order of time."""
    streams = (
        _of_jobs(period),
        _of_cash_moves(period),
        _of_cash_days(period),
        goods.of_stock(period),
        goods.of_parts(period),
        goods.of_claims(period),
        deposits.of_loans(period),
        deposits.of_returns(period),
    )
    for _at, _stream, _pk, entry in merge(*streams, key=lambda one: one[:3]):
        yield entry


def pieces_of(rows: Iterable[T], size: int = PIECE) -> Iterator[list[T]]:
    left = iter(rows)
    while piece := list(islice(left, size)):
        yield piece


# Papers and payments


def _of_jobs(period: Period) -> Iterator[Dated]:
    between = {"at__gte": period.start, "at__lt": period.end}
    papers = papers_by_job(period.shop).annotate(is_paper=Value(1, IntegerField()))
    payments = payments_by_job(period.shop).annotate(is_paper=Value(0, IntegerField()))
    columns = ("at", "is_paper", "pk", "of_ticket", "of_invoice")
    rows = merge(
        papers.filter(**between).values_list(*columns).iterator(PIECE),
        payments.filter(**between).values_list(*columns).iterator(PIECE),
    )
    for piece in pieces_of(rows):
        found = dict(_booked(period.shop, {row[3:] for row in piece}))
        dated = [
            (at, 0, n, found[bool(what), pk])
            for n, (at, what, pk, *_key) in enumerate(piece)
        ]
        yield from dated


Key = tuple[int | None, int | None]


def papers_by_job(shop: Shop) -> QuerySet[Invoice]:
    """With the job they are of: a ticket, else the invoice itself or what it turns."""
    rows = Invoice.objects.filter(shop=shop).annotate(at=F("issued_at"))
    root = Coalesce("corrects", "pk", output_field=BigIntegerField())
    return rows.annotate(of_ticket=F("ticket"), of_invoice=root).order_by("at", "pk")


def payments_by_job(shop: Shop) -> QuerySet[Payment]:
    """With the job they are of: that of their invoice where they have one."""
    rows = Payment.objects.filter(shop=shop).annotate(
        of_ticket=Case(
            When(invoice__isnull=False, then=F("invoice__ticket")),
            default=F("ticket"),
        ),
        of_invoice=Coalesce(
            "invoice__corrects", "invoice", output_field=BigIntegerField()
        ),
    )
    return rows.order_by("at", "pk")


def _booked(shop: Shop, keys: set[Key]) -> Iterator[tuple[tuple[bool, int], Entry]]:
    """All entries of some jobs, from their beginnings."""
    for facts in facts_of(shop, keys).values():
        for fact, entry in booked(facts):
            yield (isinstance(fact, Paper), fact.pk), entry


def facts_of(shop: Shop, keys: set[Key]) -> dict[Key, list[Fact]]:
    """The papers and payments of some jobs, however old."""
    tickets = {ticket for ticket, _invoice in keys if ticket is not None}
    alone = {invoice for ticket, invoice in keys if ticket is None}
    jobs: dict[Key, list[Fact]] = {}
    papers = papers_by_job(shop).filter(
        Q(ticket__in=tickets) | Q(ticket=None, of_invoice__in=alone)
    )
    taxes = _taxes(papers)
    for paper in papers.only(*OF_PAPERS):
        key = key_of(paper.ticket_id, paper.corrects_id or paper.pk)
        jobs.setdefault(key, []).append(_paper(paper, shop, taxes.get(paper.pk, ())))
    of_jobs = Q(ticket__in=tickets) | Q(invoice__in=alone)
    payments = payments_by_job(shop).filter(of_jobs).select_related("invoice")
    for paid in payments.only(*OF_PAYMENTS):
        key = key_of(*_job_of(paid))
        jobs.setdefault(key, []).append(_paid(paid, shop))
    return jobs


def _job_of(paid: Payment) -> Key:
    """The ticket or else the invoice: that of its paper, where it has one."""
    paper = paid.invoice
    if paper is None:
        return paid.ticket_id, None
    return paper.ticket_id, paper.corrects_id or paper.pk


def key_of(ticket: int | None, invoice: int | None) -> Key:
    return (ticket, None) if ticket is not None else (None, invoice)


def _taxes(papers: QuerySet[Invoice]) -> dict[int, tuple[TaxPart, ...]]:
    found: dict[int, tuple[TaxPart, ...]] = {}
    of_papers = papers.order_by().values("pk")
    advances = _advances(of_papers)
    rows = InvoiceTax.objects.filter(invoice__in=of_papers)
    columns = ("invoice_id", "category", "basis_points", "taxable_minor", "tax_minor")
    for pk, category, points, taxable, tax in rows.order_by("pk").values_list(*columns):
        advance = advances.get((pk, category, points), 0)
        part = TaxPart(Rate(category, points), taxable, tax, advance)
        found[pk] = (*found.get(pk, ()), part)
    return found


def _advances(papers: QuerySet[Any]) -> dict[tuple[int, str, int], int]:
    """By paper and rate, the net of its lines that bill an advance or take it off."""
    rows = InvoiceLine.objects.filter(invoice__in=papers, code=PREPAYMENT).order_by()
    sums = rows.values_list("invoice_id", "tax_category", "tax_basis_points").annotate(
        sum=Sum("net_minor")
    )
    return {(pk, category, points): net for pk, category, points, net in sums}


def _paper(row: Invoice, shop: Shop, taxes: tuple[TaxPart, ...]) -> Paper:
    return Paper(
        pk=row.pk,
        at=row.issued_at,
        day=day_of(row.issued_at, shop),
        kind=row.kind,
        number=row.number,
        currency=row.currency,
        total=row.total_minor,
        prepaid=row.prepaid_minor,
        taxes=taxes,
    )


def _paid(row: Payment, shop: Shop) -> Paid:
    return Paid(
        pk=row.pk,
        at=row.at,
        day=day_of(row.at, shop),
        mark=mark_of("P", row.pk),
        currency=row.currency,
        amount=row.amount_minor,
        method=row.method,
        rounding=row.rounding_minor,
        is_after_paper=row.invoice_id is not None,
    )


# Everything else


def _of_cash_moves(period: Period) -> Iterator[Dated]:
    rows = CashMove.objects.filter(shop=period.shop)
    for row in rows_in(rows, period):
        day, mark = day_of(row.at, period.shop), mark_of("M", row.pk)
        yield (
            row.at,
            1,
            row.pk,
            others.cash_moved(day, mark, row.currency, row.why, row.amount_minor),
        )


def _of_cash_days(period: Period) -> Iterator[Dated]:
    for row in rows_in(CashDay.objects.filter(shop=period.shop), period):
        if not row.difference_minor:
            continue
        entry = others.cash_counted(
            day_of(row.at, period.shop),
            mark_of("D", row.serial),
            row.currency,
            row.difference_minor,
            is_first=row.is_first,
        )
        yield row.at, 2, row.pk, entry
