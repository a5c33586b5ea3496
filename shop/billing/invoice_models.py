"""Invoices with their own copies of everything, and payments: rows and constraints.

Money is an integer of the currency's minor unit.
"""

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.billing.document_models import DocumentLine
from shop.intake.models import Ticket
from shop.money import Amount, Money
from shop.people.models import Shop


class Invoice(models.Model):
    """An issued paper with its own copies of everything. Never edited."""

    class Kind(models.TextChoices):
        INVOICE = "invoice", _("invoice")
        CREDIT_NOTE = "credit_note", _("credit note")
        PREPAYMENT = "prepayment", _("prepayment invoice")

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="invoices")
    kind = models.CharField(max_length=20, choices=Kind, default=Kind.INVOICE)
    number = models.CharField(max_length=30)
    serial = models.PositiveBigIntegerField()
    ticket = models.ForeignKey(
        Ticket, models.PROTECT, null=True, blank=True, related_name="invoices"
    )
    corrects = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="credit_notes"
    )
    # Of a credit note: something is left of what it corrects.
    is_partial = models.BooleanField(default=False)
    currency = models.CharField(max_length=3)
    seller = models.JSONField()
    buyer = models.JSONField()
    device = models.JSONField()
    story = models.JSONField()
    evidence = models.JSONField()
    net_minor = models.BigIntegerField()
    tax_minor = models.BigIntegerField()
    total_minor = models.BigIntegerField()
    prepaid_minor = models.BigIntegerField(default=0)
    due_on = models.DateField()
    warranty_until = models.DateField(null=True)
    texts = models.JSONField(default=dict)
    # Why there is no e-invoice inside (``einvoice.rules.Why``); empty: there is one.
    plain_because = models.CharField(max_length=20, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    issued_at = models.DateTimeField()

    net = Amount()
    tax = Amount()
    total = Amount()
    prepaid = Amount()

    class Meta:
        ordering = ["id"]
        # Rows are wide, with their own copies of everything: sums read these alone.
        indexes = [
            models.Index(
                fields=["shop", "issued_at", "currency", "total_minor"],
                name="invoice_sums_of_time",
            ),
            models.Index(
                fields=[
                    "ticket",
                    "kind",
                    "currency",
                    "net_minor",
                    "total_minor",
                    "warranty_until",
                ],
                name="invoice_sums_of_ticket",
            ),
            models.Index(
                fields=["ticket"],
                name="invoice_that_bills_a_ticket",
                condition=Q(kind="invoice"),
            ),
            models.Index(
                fields=["shop", "ticket"],
                name="invoice_taken_back",
                condition=Q(kind="credit_note"),
            ),
            models.Index(
                fields=["shop", "ticket", "currency", "total_minor"],
                name="invoice_sums_of_a_ticket",
            ),
            # Most correct nothing, and SQLite would take them all for one paper's.
            models.Index(
                fields=["corrects", "is_partial", "total_minor"],
                name="notes_of_an_invoice",
                condition=Q(corrects__isnull=False),
            ),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "kind", "serial"], name="a_number_is_issued_once"
            ),
            models.UniqueConstraint(
                fields=["shop", "number"], name="an_invoice_number_is_unique"
            ),
            models.CheckConstraint(
                condition=Q(total_minor=F("net_minor") + F("tax_minor")),
                name="total_is_net_plus_tax",
            ),
            models.CheckConstraint(
                condition=Q(kind__in=["invoice", "prepayment"], corrects=None)
                | Q(kind="credit_note", corrects__isnull=False),
                name="a_credit_note_points_to_its_invoice",
            ),
        ]

    def __str__(self) -> str:
        return self.number

    def get_absolute_url(self) -> str:
        return reverse("billing:invoice_pdf", args=[self.number])

    @property
    def due_when_issued(self) -> Money:
        """What the paper asks for: less what was paid before, and at once."""
        at_once = int(self.texts.get("paid_at_once", 0))
        return self.total - self.prepaid - Money.from_minor(at_once, self.currency)


class InvoiceLine(DocumentLine):
    invoice = models.ForeignKey(Invoice, models.PROTECT, related_name="lines")
    # On a credit note: the line that it takes back, or a part of it.
    corrects = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="corrected_by"
    )
    currency = models.CharField(max_length=3)

    net = Amount()

    class Meta(DocumentLine.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["invoice", "position"], name="an_invoice_line_has_its_place"
            ),
        ]


class InvoiceTax(models.Model):
    """Tax of one category and rate on an invoice (EN 16931, BG-23)."""

    invoice = models.ForeignKey(Invoice, models.PROTECT, related_name="taxes")
    category = models.CharField(max_length=2)
    basis_points = models.PositiveIntegerField()
    currency = models.CharField(max_length=3)
    taxable_minor = models.BigIntegerField()
    tax_minor = models.BigIntegerField()
    reason = models.CharField(max_length=200, blank=True)  # why there is no tax

    taxable = Amount()
    tax = Amount()

    class Meta:
        ordering = ["invoice", "-basis_points"]
        verbose_name_plural = "invoice taxes"
        constraints = [
            models.UniqueConstraint(
                fields=["invoice", "category", "basis_points"],
                name="one_tax_sum_for_a_rate",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.category} {self.basis_points}"

    @property
    def percent(self) -> Decimal:
        return Decimal(self.basis_points).scaleb(-2).normalize()


class Payment(models.Model):
    """Money in (positive) or back (negative). Before an invoice: a liability.

    ``amount`` is what changed hands. ``rounding`` is the part of it that rounding to
    the coins there are put on (or took off, negative): the rest settles what is owed.
    """

    class Method(models.TextChoices):
        CASH = "cash", _("cash")
        CARD = "card", _("card")
        TRANSFER = "transfer", _("credit transfer")
        CREDIT = "credit", _("the customer’s credit")

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="payments")
    ticket = models.ForeignKey(
        Ticket, models.PROTECT, null=True, blank=True, related_name="payments"
    )
    invoice = models.ForeignKey(
        Invoice, models.PROTECT, null=True, blank=True, related_name="payments"
    )
    currency = models.CharField(max_length=3)
    amount_minor = models.BigIntegerField()
    rounding_minor = models.BigIntegerField(default=0)
    method = models.CharField(max_length=20, choices=Method)
    reference = models.CharField(max_length=80, blank=True)
    back_reason = models.CharField(max_length=200, blank=True)  # of money back
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    amount = Amount()
    rounding = Amount()

    class Meta:
        ordering = ["id"]
        indexes = [
            models.Index(
                fields=["shop", "at", "currency", "amount_minor"],
                name="payment_sums_of_time",
            ),
            models.Index(
                fields=["shop", "currency", "method", "amount_minor"],
                name="payment_sums_of_till",
            ),
        ]
        constraints = [
            models.CheckConstraint(
                condition=~Q(amount_minor=0, rounding_minor=0),
                name="a_payment_moves_money",
            ),
            models.CheckConstraint(
                condition=Q(ticket__isnull=False) | Q(invoice__isnull=False),
                name="a_payment_is_for_something",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.amount} {self.method}"

    @property
    def settled(self) -> Money:
        """What it takes off what is owed."""
        return self.amount - self.rounding
