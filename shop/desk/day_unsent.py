"""Papers that no e-mail could bring, of no open ticket: an account's, a reminder.

The day list shows them with what can be done, until somebody has seen to it.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from shop.billing.models import Invoice
from shop.books import queries as books
from shop.books.models import PaymentReminder
from shop.intake.models import Customer, Ticket
from shop.messaging.panels import PAYMENT_REMINDER, Shown, failed_papers
from shop.people.models import Shop


@dataclass(frozen=True)
class Unsent:
    """One of them; ``named`` says which paper, ``ticket`` whose reminder it is."""

    message: Shown
    customer: Customer
    named: str
    ticket: Ticket | None = None
    kind = "paper_failed"


def unsent(shop: Shop, open_ones: Iterable[Ticket]) -> list[Unsent]:
    """The oldest first; a reminder of what was paid meanwhile is none any more."""
    failed = failed_papers(shop, open_ones)
    if not failed:
        return []
    ids = {one.message.customer_id for one in failed}
    rows = Customer.objects.select_related("joined_to")
    customers = rows.in_bulk([pk for pk in ids if pk is not None])
    return list(_told(failed, customers, _owed(shop, failed)))


def _owed(shop: Shop, failed: Iterable[Shown]) -> dict[str, Invoice]:
    """The unpaid invoices that they ask for, by the key of their reminder."""
    asked = {o.message.paper for o in failed if o.message.kind == PAYMENT_REMINDER}
    if not asked:
        return {}
    still = {one.pk for one in books.open_invoices(shop)}
    rows = PaymentReminder.objects.select_related("invoice__ticket__customer")
    rows = rows.filter(pk__in=asked, invoice__in=still)
    return {str(row.pk): row.invoice for row in rows}


def _told(
    failed: Iterable[Shown],
    customers: Mapping[int, Customer],
    owed: Mapping[str, Invoice],
) -> Iterator[Unsent]:
    for one in failed:
        invoice = owed.get(one.message.paper)
        if one.message.kind == PAYMENT_REMINDER:
            if invoice is None:
                continue
            named, ticket = invoice.number, invoice.ticket
        else:
            named, ticket = one.named, None
        known = customers.get(one.message.customer_id or 0)
        customer = ticket.customer if ticket else known
        if customer is not None:
            yield Unsent(one, customer.joined_to or customer, named, ticket)
