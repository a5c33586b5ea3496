"""Account customers: what was agreed with them, and their own prices. Dated rows."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from shop.money import Money
from shop.people.models import Shop


def _money(minor: int | None, currency: str) -> Money | None:
    return None if minor is None else Money.from_minor(minor, currency)


class AccountTerms(models.Model):
    """How an account customer is served and billed, from a moment on. Never edited.

    The newest row counts; one that is not ``is_open`` ends the account. The cap is
    with tax; no credit limit means that none was set.
    """

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="+")
    customer = models.ForeignKey(
        "intake.Customer", models.PROTECT, related_name="account_terms"
    )
    valid_from = models.DateTimeField(default=timezone.now)
    is_open = models.BooleanField(default=True)
    payment_days = models.PositiveIntegerField(default=30)
    currency = models.CharField(max_length=3)
    standing_cap_minor = models.BigIntegerField(null=True, blank=True)
    credit_limit_minor = models.BigIntegerField(null=True, blank=True)
    order_number = models.CharField(max_length=80, blank=True)
    needs_order = models.BooleanField(default=False)
    billing_contact = models.CharField(max_length=200, blank=True)
    billing_email = models.EmailField(blank=True)
    language = models.CharField(max_length=10)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["customer", "valid_from", "id"]
        verbose_name_plural = "account terms"
        constraints = [
            models.CheckConstraint(
                condition=(Q(standing_cap_minor=None) | Q(standing_cap_minor__gte=0))
                & (Q(credit_limit_minor=None) | Q(credit_limit_minor__gte=0)),
                name="account_amounts_are_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.customer} from {self.valid_from:%Y-%m-%d}"

    @property
    def standing_cap(self) -> Money | None:
        return _money(self.standing_cap_minor, self.currency)

    @property
    def credit_limit(self) -> Money | None:
        return _money(self.credit_limit_minor, self.currency)


class AccountPrices(models.Model):
    """An account customer's own price list, from a moment on. Never edited.

    What is empty is the shop's own. A ticket is billed at the list of the moment in
    which it was taken in; the discount is on labour, parts and consumables.
    """

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="+")
    customer = models.ForeignKey(
        "intake.Customer", models.PROTECT, related_name="account_prices"
    )
    valid_from = models.DateTimeField(default=timezone.now)
    currency = models.CharField(max_length=3)
    hourly_rate_minor = models.BigIntegerField(null=True, blank=True)
    diagnosis_fee_minor = models.BigIntegerField(null=True, blank=True)
    markup_percent = models.PositiveIntegerField(null=True, blank=True)
    discount_basis_points = models.PositiveIntegerField(default=0)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["customer", "valid_from", "id"]
        verbose_name_plural = "account prices"
        constraints = [
            models.CheckConstraint(
                condition=(Q(hourly_rate_minor=None) | Q(hourly_rate_minor__gte=0))
                & (Q(diagnosis_fee_minor=None) | Q(diagnosis_fee_minor__gte=0)),
                name="account_prices_are_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(discount_basis_points__lte=10000),
                name="a_discount_is_at_most_the_whole_price",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.customer} from {self.valid_from:%Y-%m-%d}"

    @property
    def hourly_rate(self) -> Money | None:
        return _money(self.hourly_rate_minor, self.currency)

    @property
    def diagnosis_fee(self) -> Money | None:
        return _money(self.diagnosis_fee_minor, self.currency)
