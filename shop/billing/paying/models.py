"""How a shop takes money: a dated row, never edited."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.people.models import Shop


class DepositPaper(models.TextChoices):
    """What a customer is given for money that is paid before the invoice."""

    RECEIPT = "receipt", _("a receipt; it is taken off the invoice later")
    INVOICE = "invoice", _("a prepayment invoice with its tax")


class PaymentRules(models.Model):
    """Deposits and cash, from a date on. Before the first row: the defaults."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="payment_rules")
    valid_from = models.DateTimeField(default=timezone.now)
    deposit_paper = models.CharField(
        max_length=10, choices=DepositPaper, default=DepositPaper.RECEIPT
    )
    # The smallest coin, in minor units; 1: cash is paid to the cent.
    cash_step_minor = models.PositiveIntegerField(default=1)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["shop", "valid_from", "id"]
        verbose_name_plural = "payment rules"
        constraints = [
            models.CheckConstraint(
                condition=Q(cash_step_minor__gte=1), name="a_coin_has_a_value"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.shop} from {self.valid_from:%Y-%m-%d}"
