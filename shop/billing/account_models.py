"""Monthly invoices of account customers: whose, and which tickets are on them."""

from django.db import models

from shop.intake.models import Customer, Ticket


class AccountInvoice(models.Model):
    """Whose monthly invoice it is, or credit note to one, and of which month."""

    invoice = models.OneToOneField(
        "billing.Invoice", models.PROTECT, related_name="account"
    )
    customer = models.ForeignKey(
        Customer, models.PROTECT, related_name="account_invoices"
    )
    month = models.DateField()  # its first day

    class Meta:
        ordering = ["invoice"]

    def __str__(self) -> str:
        return f"{self.invoice}: {self.month:%Y-%m}"


class BilledTicket(models.Model):
    """A ticket is billed by one monthly invoice that stands. Gone with a credit note.

    What was on an invoice stays told by the invoice's own copies.
    """

    ticket = models.OneToOneField(Ticket, models.PROTECT, related_name="billed_on")
    invoice = models.ForeignKey(
        "billing.Invoice", models.PROTECT, related_name="billed_tickets"
    )

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.ticket} on {self.invoice}"


class PaidTogether(models.Model):
    """Payments that came as one sum of money; ``first`` is itself among them.

    Append-only.
    """

    payment = models.OneToOneField(
        "billing.Payment", models.PROTECT, related_name="together"
    )
    first = models.ForeignKey(
        "billing.Payment", models.PROTECT, related_name="taken_together"
    )

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.payment} with {self.first}"
