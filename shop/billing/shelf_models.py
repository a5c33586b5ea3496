"""Lots and what was drawn from them, counts, claims; ``models`` shows them."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.intake.models import Ticket
from shop.money import Amount, Money


class StockLot(models.Model):
    """What came to the shelf at once, at one cost; ``left`` is locked with its item.

    ``name`` is the batch, or the donor it was taken off. ``origin`` says by which act
    it was made, so that the same thing is never brought in twice. What was salvaged
    costs nothing and has a price of its own.
    """

    item = models.ForeignKey("billing.StockItem", models.PROTECT, related_name="lots")
    came_by = models.OneToOneField(
        "billing.StockMove", models.PROTECT, related_name="lot_made"
    )
    name = models.CharField(max_length=80, blank=True)
    origin = models.CharField(max_length=60, blank=True)
    is_salvaged = models.BooleanField(default=False)
    cost_minor = models.BigIntegerField()
    price_minor = models.BigIntegerField(null=True, blank=True)
    quantity = models.PositiveIntegerField()
    left = models.PositiveIntegerField()

    cost = Amount()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["origin"],
                condition=~Q(origin=""),
                name="what_is_salvaged_comes_to_the_shelf_once",
            ),
            models.CheckConstraint(
                condition=Q(left__lte=F("quantity")), name="no_lot_grows"
            ),
            models.CheckConstraint(
                condition=Q(is_salvaged=False)
                | Q(cost_minor=0, price_minor__isnull=False),
                name="what_is_salvaged_costs_nothing_and_has_its_price",
            ),
        ]
        indexes = [
            models.Index(
                fields=["item", "id"],
                condition=Q(left__gt=0),
                name="lots_that_are_not_empty",
            ),
        ]

    def __str__(self) -> str:
        return self.name or str(self.pk)

    @property
    def currency(self) -> str:
        return self.item.currency

    @property
    def price(self) -> Money | None:
        if self.price_minor is None:
            return None
        return Money.from_minor(self.price_minor, self.currency)


class LotDraw(models.Model):
    """What a move took off a lot, or put back onto it. Append-only."""

    move = models.ForeignKey("billing.StockMove", models.PROTECT, related_name="draws")
    lot = models.ForeignKey(StockLot, models.PROTECT, related_name="draws")
    quantity = models.IntegerField()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(quantity=0), name="a_draw_draws_something"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} of {self.lot}"


class LineMove(models.Model):
    """A move that a line of a paper is about: sold, or back by a credit note.

    Append-only.
    """

    line = models.ForeignKey(
        "billing.InvoiceLine", models.PROTECT, related_name="shelf_moves"
    )
    move = models.OneToOneField(
        "billing.StockMove", models.PROTECT, related_name="of_line"
    )

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.move} for {self.line}"


class StockCount(models.Model):
    """One part counted: what should have been there, what was, and why. Append-only."""

    class Reason(models.TextChoices):
        NONE = "", _("no difference")
        LOST = "lost", _("lost or thrown away")
        BROKEN = "broken", _("broken or unusable")
        NOT_WRITTEN = "not_written", _("used and not written down")
        FOUND = "found", _("found again")
        MISCOUNTED = "miscounted", _("miscounted before")

    item = models.ForeignKey("billing.StockItem", models.PROTECT, related_name="counts")
    expected = models.PositiveIntegerField()
    counted = models.PositiveIntegerField()
    reason = models.CharField(max_length=20, choices=Reason, blank=True)
    move = models.OneToOneField(
        "billing.StockMove", models.PROTECT, null=True, blank=True, related_name="count"
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(counted=F("expected"), reason="", move=None)
                | (~Q(counted=F("expected")) & ~Q(reason="") & Q(move__isnull=False)),
                name="a_difference_has_its_reason_and_its_move",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.counted} of {self.expected}"


class Claim(models.Model):
    """Pieces that were wrong or dead: open until credited, replaced or refused.

    Append-only; what ended it is a ``ClaimEnd``. ``move`` sent them off the shelf,
    where they had come to it; ``replacement`` is the order that is to make it good.
    """

    class Kind(models.TextChoices):
        WRONG = "wrong", _("wrong part")
        DEAD = "dead", _("dead on arrival")

    shop = models.ForeignKey("people.Shop", models.PROTECT, related_name="claims")
    item = models.ForeignKey(
        "billing.StockItem",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="claims",
    )
    ticket = models.ForeignKey(
        Ticket, models.PROTECT, null=True, blank=True, related_name="claims"
    )
    order_line = models.ForeignKey(
        "billing.OrderLine",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="claims",
    )
    move = models.OneToOneField(
        "billing.StockMove", models.PROTECT, null=True, blank=True, related_name="claim"
    )
    replacement = models.OneToOneField(
        "billing.OrderLine",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="replaces",
    )
    kind = models.CharField(max_length=20, choices=Kind)
    supplier = models.CharField(max_length=120)
    name = models.CharField(max_length=120)
    quantity = models.PositiveIntegerField()
    currency = models.CharField(max_length=3)
    worth_minor = models.BigIntegerField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    worth = Amount()

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.quantity} {self.name}"


class ClaimEnd(models.Model):
    """How a claim ended. Append-only."""

    class How(models.TextChoices):
        CREDITED = "credited", _("credited")
        REPLACED = "replaced", _("replaced")
        REFUSED = "refused", _("refused by the supplier")

    claim = models.OneToOneField(Claim, models.PROTECT, related_name="end")
    how = models.CharField(max_length=20, choices=How)
    currency = models.CharField(max_length=3)
    amount_minor = models.BigIntegerField(default=0)
    reference = models.CharField(max_length=40, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    amount = Amount()

    def __str__(self) -> str:
        return self.how
