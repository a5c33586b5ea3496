"""A credit note to a monthly invoice belongs to the account as well.

One over the whole of it lets go of its tickets: they may be billed again.
"""

from django.db.models import Sum

from shop.billing.account_models import AccountInvoice, BilledTicket
from shop.billing.models import Invoice
from shop.records import services as records
from shop.records.kinds import Kind
from shop.records.models import Event


def listen() -> None:
    records.when(Kind.CREDIT_NOTE_ISSUED, _follow)
    records.when(Kind.PARTIAL_CREDIT_ISSUED, _follow)


def _follow(event: Event) -> None:
    note = Invoice.objects.select_related("corrects").get(pk=event.ids["invoice"])
    invoice = note.corrects
    account = AccountInvoice.objects.filter(invoice=invoice).first()
    if invoice is None or account is None:
        return
    AccountInvoice.objects.create(
        invoice=note, customer=account.customer, month=account.month
    )
    back = invoice.credit_notes.aggregate(sum=Sum("total_minor"))["sum"] or 0
    if invoice.total_minor + back <= 0:
        BilledTicket.objects.filter(invoice=invoice).delete()
