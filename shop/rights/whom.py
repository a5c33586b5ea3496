"""Whom a request is about: one customer, with every row kept of the same person."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Q, QuerySet
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing import owing
from shop.billing import queries as billing
from shop.billing.account_models import AccountInvoice
from shop.billing.accounts.draft import to_be_billed
from shop.billing.accounts.statement import open_at
from shop.billing.models import Invoice
from shop.intake.models import Customer, Ticket
from shop.money import nothing
from shop.records.errors import Refused


@dataclass(frozen=True)
class Whom:
    """The customer that stands, those joined to it, and all their tickets."""

    customer: Customer
    rows: tuple[Customer, ...]
    tickets: tuple[Ticket, ...]

    @property
    def customer_ids(self) -> list[int]:
        return [row.pk for row in self.rows]

    @property
    def ticket_ids(self) -> list[int]:
        return [ticket.pk for ticket in self.tickets]

    @property
    def papers(self) -> QuerySet[Invoice]:
        """Of their tickets and of their account; by key, since an OR reads them all."""
        monthly = AccountInvoice.objects.filter(customer__in=self.customer_ids)
        own = Q(ticket__in=self.ticket_ids)
        own |= Q(pk__in=list(monthly.values_list("invoice", flat=True)))
        return Invoice.objects.filter(own).order_by("pk")


def whom(customer: Customer) -> Whom:
    """Reads the rows anew. Of a joined row it is who the row was joined to."""
    standing = Customer.objects.select_related("shop").get(pk=customer.pk)
    while standing.joined_to_id is not None:
        standing = Customer.objects.select_related("shop").get(pk=standing.joined_to_id)
    rows = [standing]
    newest = [standing.pk]
    while newest:
        found = Customer.objects.filter(joined_to__in=newest).order_by("pk")
        newest = [row.pk for row in found]
        rows += found
    ids = [row.pk for row in rows]
    tickets = Ticket.objects.filter(customer__in=ids).order_by("pk")
    related = ("shop", "device", "customer", "handover")
    return Whom(standing, tuple(rows), tuple(tickets.select_related(*related)))


def obstacle(whom: Whom) -> str:
    """Why this customer can't be erased now, in a sentence; empty where nothing is."""
    if whom.customer.erased_at is not None:
        return _("This customer was erased already.")
    for ticket in whom.tickets:
        if not hasattr(ticket, "handover"):
            return _(
                "Ticket %(number)s is open. Hand it over first: what is erased can’t "
                "be asked about any more."
            ) % {"number": ticket.number}
        if said := _owing(ticket):
            return said
    return _account_owing(whom.customer)


def _account_owing(customer: Customer) -> str:
    """Monthly invoices are of no one ticket: what they leave to pay, or will."""
    waiting = to_be_billed(customer) if customer.is_account else []
    if any(billing.work_lines(ticket) for ticket in waiting):
        return _(
            "Ticket %(number)s is not billed yet: issue the month’s invoice first."
        ) % {"number": waiting[0].number}
    found = next(iter(open_at(customer, timezone.now())), None)
    if found is None:
        return ""
    return _(
        "Money is owing: %(amount)s of invoice %(invoice)s. Take the payment or "
        "credit the invoice first."
    ) % {"amount": found.due, "invoice": found.invoice.number}


def refuse_obstacle(whom: Whom) -> None:
    if said := obstacle(whom):
        raise Refused(said)


def _owing(ticket: Ticket) -> str:
    """By the papers: what no invoice bills is no claim, what was paid is held."""
    invoice = billing.standing_invoice(ticket)
    billed = owing.invoiced(ticket) if invoice else nothing(ticket.currency)
    left = billed - billing.paid(ticket)
    if left.minor > 0 and invoice is not None:
        return _(
            "Money is owing: %(amount)s of invoice %(invoice)s. Take the payment or "
            "credit the invoice first."
        ) % {"amount": left, "invoice": invoice.number}
    if left.minor < 0:
        return _(
            "%(amount)s of ticket %(number)s are the customer’s: pay them back or "
            "bill them first."
        ) % {"amount": -left, "number": ticket.number}
    return ""


def warranty_until(whom: Whom) -> date | None:
    """The last day of a warranty that still runs, which the papers alone then prove."""
    today = timezone.now().astimezone(whom.customer.shop.zone).date()
    days = [
        invoice.warranty_until
        for ticket in whom.tickets
        for invoice in ticket.invoices.all()
        if invoice.warranty_until and invoice.warranty_until >= today
    ]
    return max(days, default=None)
