"""Time, parts and stock: rows and constraints. Papers and payments stand beside.

Money is an integer of the currency's minor unit; quantities are thousandths;
unit prices are ten-thousandths of the currency's main unit.
"""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.billing.account_models import (  # noqa: F401  found here
    AccountInvoice,
    BilledTicket,
    PaidTogether,
)
from shop.billing.day_models import ConfirmedDay  # noqa: F401  found here
from shop.billing.document_models import DocumentLine
from shop.billing.invoice_models import Invoice, InvoiceLine, InvoiceTax, Payment
from shop.billing.loan_models import Loan, LoanDevice, LoanReturn  # noqa: F401  too
from shop.billing.paying.models import PaymentRules  # noqa: F401  found here
from shop.billing.quote_models import (
    Quote,
    QuoteAnswer,
    QuoteDraft,
    QuoteDraftLine,
    QuoteLine,
)
from shop.billing.shelf_models import (  # noqa: F401  found here
    Claim,
    ClaimEnd,
    LineMove,
    LotDraw,
    StockCount,
    StockLot,
)
from shop.intake.models import Place, Ticket
from shop.money import Amount
from shop.people.models import Shop

__all__ = [
    "DocumentLine",
    "Invoice",
    "InvoiceLine",
    "InvoiceTax",
    "LabourKind",
    "OrderLine",
    "PartUse",
    "Payment",
    "Quote",
    "QuoteAnswer",
    "QuoteDraft",
    "QuoteDraftLine",
    "QuoteLine",
    "StockItem",
    "StockMove",
    "TimeEntry",
]


class LabourKind(models.TextChoices):
    DIAGNOSIS = "diagnosis", _("diagnosis")
    REPAIR = "repair", _("repair")
    PROOF = "proof", _("proof")
    REWORK = "rework", _("rework")
    WARRANTY = "warranty", _("warranty")
    MACHINE = "machine", _("machine time")


class TimeEntry(models.Model):
    """Minutes of one person on one ticket. Never edited, only reversed."""

    ticket = models.ForeignKey(Ticket, models.PROTECT, related_name="time_entries")
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    kind = models.CharField(max_length=20, choices=LabourKind)
    minutes = models.IntegerField()
    started_at = models.DateTimeField()
    reverses = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="reversed_by"
    )

    class Meta:
        ordering = ["id"]
        verbose_name_plural = "time entries"
        constraints = [
            models.CheckConstraint(
                condition=Q(reverses=None, minutes__gt=0)
                | Q(reverses__isnull=False, minutes__lt=0),
                name="only_a_reversal_takes_minutes_back",
            ),
        ]
        indexes = [
            models.Index(fields=["person", "started_at"], name="minutes_of_a_day"),
        ]

    def __str__(self) -> str:
        return f"{self.kind}: {self.minutes}"


class StockItem(models.Model):
    """A part on the shelf. On hand is a locked row, proved by the moves.

    ``barcode`` is what a scanner reads on its bag; ``reorder_at`` is the owner's own
    point, which counts until enough was used to reckon one.
    """

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="stock_items")
    code = models.CharField(max_length=40)
    name = models.CharField(max_length=120)
    part_id = models.CharField(max_length=40, blank=True)
    barcode = models.CharField(max_length=40, blank=True)
    place = models.ForeignKey(
        Place, models.PROTECT, null=True, blank=True, related_name="stock_items"
    )
    supplier = models.CharField(max_length=120, blank=True)
    reorder_at = models.PositiveIntegerField(null=True, blank=True)
    cost_minor = models.BigIntegerField(default=0)
    currency = models.CharField(max_length=3)
    on_hand = models.IntegerField(default=0)

    cost = Amount()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "code"], name="a_stock_code_is_used_once"
            ),
            models.UniqueConstraint(
                fields=["shop", "barcode"],
                condition=~Q(barcode=""),
                name="a_barcode_is_of_one_part",
            ),
            models.CheckConstraint(
                condition=Q(on_hand__gte=0), name="on_hand_is_never_below_zero"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("billing:stock_item", args=[self.pk])


class StockMove(models.Model):
    """A signed move of stock. Append-only.

    A reservation moves nothing off the shelf: it takes what is free, until it
    expires or a second move gives it back. All others add up to what is on hand.
    """

    class Why(models.TextChoices):
        RECEIVED = "received", _("received")
        USED = "used", _("used")
        RESERVED = "reserved", _("reserved")
        COUNTED = "counted", _("counted")
        RETURNED = "returned", _("returned")
        SALVAGED = "salvaged", _("taken off a donor")
        SENT_BACK = "sent_back", _("sent back")

    item = models.ForeignKey(StockItem, models.PROTECT, related_name="moves")
    quantity = models.IntegerField()
    lot = models.CharField(max_length=40, blank=True)
    cost_minor = models.BigIntegerField(default=0)
    why = models.CharField(max_length=20, choices=Why)
    ticket = models.ForeignKey(
        Ticket, models.PROTECT, null=True, blank=True, related_name="stock_moves"
    )
    reverses = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="reversed_by"
    )
    expires_at = models.DateTimeField(null=True, blank=True)
    order_line = models.ForeignKey(
        "OrderLine", models.PROTECT, null=True, blank=True, related_name="moves"
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]
        indexes = [
            models.Index(
                fields=["item", "at", "why", "quantity"], name="moves_of_an_item"
            ),
            models.Index(
                fields=["item", "expires_at"],
                name="what_is_reserved",
                condition=Q(why="reserved"),
            ),
        ]
        constraints = [
            models.CheckConstraint(
                condition=~Q(quantity=0), name="a_move_moves_something"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} {self.item}"


class PartUse(models.Model):
    """A part that went into a ticket's board, and what it is billed at."""

    ticket = models.ForeignKey(Ticket, models.PROTECT, related_name="part_uses")
    move = models.OneToOneField(
        StockMove, models.PROTECT, null=True, blank=True, related_name="part_use"
    )
    name = models.CharField(max_length=120)
    part_id = models.CharField(max_length=40, blank=True)
    quantity = models.IntegerField()
    currency = models.CharField(max_length=3)
    cost_minor = models.BigIntegerField()
    price_minor = models.BigIntegerField()
    is_salvaged = models.BooleanField(default=False)
    reverses = models.OneToOneField(
        "self", models.PROTECT, null=True, blank=True, related_name="reversed_by"
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    cost = Amount()
    price = Amount()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(reverses=None, quantity__gt=0)
                | Q(reverses__isnull=False, quantity__lt=0),
                name="only_a_reversal_takes_a_part_back",
            ),
            models.CheckConstraint(
                condition=Q(cost_minor__gte=0, price_minor__gte=0),
                name="part_prices_are_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} {self.name}"


class OrderLine(models.Model):
    """A part ordered from a supplier, for a ticket or for the shelf.

    For a ticket a supplier's turn begins. ``awaited`` is a locked figure like what is
    on hand: ordered, less what came, was wrong or is waited for no more.
    ``reference`` is the supplier's number of the order, as on the delivery note,
    ``their_code`` the supplier's number of the part.
    """

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="order_lines")
    ticket = models.ForeignKey(
        Ticket, models.PROTECT, null=True, blank=True, related_name="order_lines"
    )
    supplier = models.CharField(max_length=120)
    name = models.CharField(max_length=120)
    item = models.ForeignKey(
        StockItem, models.PROTECT, null=True, blank=True, related_name="order_lines"
    )
    reference = models.CharField(max_length=40, blank=True)
    their_code = models.CharField(max_length=40, blank=True)
    quantity = models.PositiveIntegerField(default=1)
    awaited = models.PositiveIntegerField(default=0)
    currency = models.CharField(max_length=3)
    price_minor = models.BigIntegerField()
    due_on = models.DateField(null=True, blank=True)
    ordered_at = models.DateTimeField(default=timezone.now)

    price = Amount()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(awaited__lte=F("quantity")),
                name="no_more_is_awaited_than_was_ordered",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} from {self.supplier}"
