"""Advances of a period: taken, set off against which paper, held at its end.

Three accounts of the journal hold them: money before a paper, what prepayment invoices
billed before the work, and deposits for loan devices. What was paid on an account's
tickets is set off on its monthly invoice, so there the account is the owner; else the
ticket is.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, NamedTuple

from django.db.models import F, QuerySet, Sum
from django.utils.translation import gettext as _

from shop.billing import owing
from shop.billing.account_models import AccountInvoice
from shop.billing.models import Invoice, InvoiceLine, Payment
from shop.billing.services.prepayments import PREPAYMENT
from shop.books import deposits
from shop.books.dated import PIECE, mark_of
from shop.books.journal import (
    Key,
    facts_of,
    key_of,
    papers_by_job,
    payments_by_job,
    pieces_of,
)
from shop.books.periods import Period
from shop.books.posting.accounts import Account, Rate, advances
from shop.books.posting.advances import Step, moves
from shop.books.posting.owed import Fact, Paid
from shop.intake.models import Customer, Ticket
from shop.people.models import Shop

LOAN_TAKEN, LOAN_BACK = "loan_deposit", "loan_back"  # as entries are called


class Owner(NamedTuple):
    """Whose advance it is, and where it is booked; an account has no number."""

    account: str
    name: str
    number: str
    customer: int
    currency: str


@dataclass(frozen=True)
class Moved:
    """Into what is held, or out of it where ``minor`` is below zero."""

    owner: Owner
    at: datetime
    kind: str
    document: str
    minor: int
    how: str = ""
    number: str = ""  # of the ticket, where one ticket's it is

    @property
    def what(self) -> str:
        is_in = self.minor > 0
        if self.kind in {Invoice.Kind.INVOICE, Invoice.Kind.PREPAYMENT}:
            return _("billed in advance") if is_in else _("set off")
        if self.kind == Invoice.Kind.CREDIT_NOTE:
            return _("freed by a credit note") if is_in else _("credited")
        if self.kind == LOAN_BACK:
            return _("ended: the device is back")
        return _("taken") if is_in else _("given back")


def by_owner(period: Period) -> list[tuple[Owner, list[Moved]]]:
    """Whose advances were held in the period, each with all its moves until its end."""
    found: dict[Owner, list[Moved]] = defaultdict(list)
    owners = Owners(period.shop)
    for stream in (_of_jobs, _billed, _of_loans):
        for one in stream(period, owners):
            found[one.owner].append(one)
    for own in found.values():
        own.sort(key=lambda one: one.at)
    return [
        (owner, own)
        for owner, own in sorted(found.items())
        if held(own, period.start) or own[-1].at >= period.start
    ]


def held(found: Iterable[Moved], until: datetime) -> int:
    return sum(one.minor for one in found if one.at < until)


class Owners:
    """Whose a ticket's advance is: an account's, where it is billed by the month."""

    def __init__(self, shop: Shop) -> None:
        rows = AccountInvoice.objects.filter(invoice__shop=shop)
        self.monthly = set(rows.values_list("customer_id", flat=True))

    def of_ticket(self, account: str, ticket: Ticket, currency: str) -> Owner:
        customer = ticket.customer.joined_to or ticket.customer
        ids = {ticket.customer_id, customer.pk}
        number = "" if ids & self.monthly else ticket.number
        return Owner(account, customer.name, number, customer.pk, currency)

    def of_invoice(self, account: str, row: Invoice) -> Owner:
        monthly = getattr(row, "account", None)
        if monthly is None:
            name = str(row.buyer.get("name", ""))
            return Owner(account, name, row.number, 0, row.currency)
        customer: Customer = monthly.customer.joined_to or monthly.customer
        return Owner(account, customer.name, "", customer.pk, row.currency)


Jobs = dict[Key, tuple[Owner, str]]


# Money before a paper


def _of_jobs(period: Period, owners: Owners) -> Iterator[Moved]:
    for piece in pieces_of(_jobs(period)):
        named = _named(piece, owners)
        for key, facts in facts_of(period.shop, set(piece)).items():
            owner, number = named[key]
            steps = (_step(one, key) for one in facts if one.at < period.end)
            for step, minor in moves(steps):
                yield Moved(
                    owner,
                    *(step.at, step.kind, step.document),
                    *(minor, _how(step.how), number),
                )


def _how(method: str) -> str:
    """
    >>> _how(""), _how("of before")
    ('', 'of before')
    """
    return str(dict(Payment.Method.choices).get(method, method))


def _jobs(period: Period) -> list[Key]:
    """What something came of in the period, and what may be held when it begins."""
    papers: QuerySet[Any] = papers_by_job(period.shop)
    payments: QuerySet[Any] = payments_by_job(period.shop)
    keys: set[Key] = set()
    paid: dict[Key, int] = defaultdict(int)
    for rows, sum_of in ((payments, owing.SETTLED), (papers, -F("total_minor"))):
        until_end = rows.filter(at__lt=period.end).order_by()
        of_job = until_end.values_list("of_ticket", "of_invoice")
        for ticket, invoice, minor in of_job.annotate(sum=Sum(sum_of)):
            paid[key_of(ticket, invoice)] += minor
        keys |= {key_of(*one) for one in of_job.filter(at__gte=period.start).distinct()}
    set_off = papers.filter(prepaid_minor__gt=0, ticket=None, at__lt=period.end)
    keys |= {key_of(None, pk) for pk in set_off.values_list("pk", flat=True)}
    return sorted(
        keys | {key for key, minor in paid.items() if minor > 0},
        key=lambda key: (key[0] or 0, key[1] or 0),
    )


def _named(keys: Sequence[Key], owners: Owners) -> Jobs:
    account = Account.PREPAYMENTS
    tickets = Ticket.objects.filter(pk__in=[ticket for ticket, _none in keys])
    invoices = Invoice.objects.filter(pk__in=[invoice for _none, invoice in keys])
    named: Jobs = {
        (row.pk, None): (owners.of_ticket(account, row, row.currency), row.number)
        for row in tickets.select_related("customer__joined_to")
    }
    for paper in invoices.select_related("account__customer__joined_to"):
        named[None, paper.pk] = owners.of_invoice(account, paper), ""
    return named


def _step(fact: Fact, key: Key) -> Step:
    """An account's invoice takes off what was paid elsewhere, on its tickets."""
    if isinstance(fact, Paid):
        rank = 2 if fact.is_after_paper else 0
        named = fact.at, rank, fact.pk, fact.kind, fact.mark
        return Step(*named, paid=fact.settled, how=fact.method)
    taken = fact.prepaid if key[0] is None else 0
    billed = fact.total - taken
    named = fact.at, 1, fact.pk, fact.kind, fact.number
    return Step(*named, billed=billed, taken=taken)


# What prepayment invoices billed, and deposits for loan devices


def _billed(period: Period, owners: Owners) -> Iterator[Moved]:
    rows = InvoiceLine.objects.filter(
        code=PREPAYMENT, invoice__shop=period.shop, invoice__issued_at__lt=period.end
    ).select_related(
        "invoice__ticket__customer__joined_to", "invoice__account__customer__joined_to"
    )
    for row in rows.order_by("invoice__issued_at", "pk").iterator(PIECE):
        paper, rate = row.invoice, Rate(row.tax_category, row.tax_basis_points)
        ticket, account = paper.ticket, advances(rate)
        owner = (
            owners.of_ticket(account, ticket, paper.currency)
            if ticket
            else owners.of_invoice(account, paper)
        )
        number = ticket.number if ticket else ""
        named = paper.issued_at, paper.kind, paper.number
        yield Moved(owner, *named, row.net_minor, "", number)


def _of_loans(period: Period, owners: Owners) -> Iterator[Moved]:
    """A deposit ends when its device is back, whatever was kept of it."""
    account = Account.LOAN_DEPOSITS
    loans = deposits.loans_of(period.shop).filter(given_at__lt=period.end)
    ended = set(deposits.returns_of(period.shop).values_list("pk", flat=True))
    for loan in loans.select_related("ticket__customer__joined_to", "back"):
        owner = owners.of_ticket(account, loan.ticket, loan.currency)
        how, number = _how(loan.deposit_method), loan.ticket.number
        named, minor = (LOAN_TAKEN, mark_of("H", loan.pk)), loan.deposit_minor
        yield Moved(owner, loan.given_at, *named, minor, how, number)
        back = getattr(loan, "back", None)
        if back is not None and back.pk in ended and back.at < period.end:
            named = LOAN_BACK, mark_of("R", back.pk)
            yield Moved(owner, back.at, *named, -minor, how, number)
