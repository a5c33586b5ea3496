"""Customers of whom nothing holds their erasing, told of many at once.

``whom.obstacle`` decides, with some queries for each customer. What is plain is told
here with a few for all: nobody that it would hold is among them, and who is not among
them is asked about one by one.
"""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence

from django.db.models import QuerySet, Sum

from shop.billing.account_models import AccountInvoice
from shop.billing.models import Invoice, Payment
from shop.billing.owing import SETTLED
from shop.intake.models import Customer, Ticket

Paper = tuple[int, int, int]  # number of the row, total, prepaid; minor units


def at_rest(customers: Sequence[Customer]) -> set[int]:
    """No account, nobody joined, each ticket handed over, and all its papers paid."""
    ids = [row.pk for row in customers]
    joined = Customer.objects.filter(joined_to__in=ids).values_list("joined_to")
    billed = AccountInvoice.objects.filter(customer__in=ids).values_list("customer")
    held = {pk for rows in (joined, billed) for (pk,) in rows.order_by()}
    held |= {row.pk for row in customers if row.is_account}
    return set(ids) - held - _with_open_jobs(ids)


def _with_open_jobs(ids: Collection[int]) -> set[int]:
    tickets = Ticket.objects.filter(customer__in=ids).order_by()
    of = dict(tickets.values_list("pk", "customer"))
    closed = set(tickets.filter(handover__isnull=False).values_list("pk", flat=True))
    settled = _settled(of)
    return {whose for pk, whose in of.items() if pk not in closed or pk not in settled}


def _settled(tickets: Collection[int]) -> set[int]:
    """Whose papers are invoices alone, each paid to the unit; or that have neither."""
    papers: dict[int, list[Paper]] = defaultdict(list)
    odd = set()
    rows = Invoice.objects.filter(ticket__in=tickets).order_by()
    for ticket, kind, *paper in rows.values_list(
        "ticket", "kind", "pk", "total_minor", "prepaid_minor"
    ):
        papers[ticket].append((paper[0], paper[1], paper[2]))
        if kind != Invoice.Kind.INVOICE:
            odd.add(ticket)
    payments = Payment.objects.order_by()
    paid = _sums(payments.filter(ticket__in=tickets), "ticket")
    on = [pk for own in papers.values() for pk, _total, _prepaid in own]
    paid_on = _sums(payments.filter(invoice__in=on), "invoice")
    return {
        pk
        for pk in tickets
        if pk not in odd and _is_paid(papers[pk], paid.get(pk, 0), paid_on)
    }


def _sums(payments: "QuerySet[Payment]", by: str) -> Mapping[int, int]:
    return dict(payments.values_list(by).annotate(sum=Sum(SETTLED)))


def _is_paid(papers: Sequence[Paper], paid: int, on: Mapping[int, int]) -> bool:
    is_each = all(total - prepaid <= on.get(pk, 0) for pk, total, prepaid in papers)
    return is_each and paid == sum(total for _pk, total, _prepaid in papers)
