"""Machines lent to customers while theirs is here."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from shop.intake.models import Ticket
from shop.money import Amount
from shop.people.models import Shop


class LoanDevice(models.Model):
    """A machine of ours that may be lent; ``ended_at`` when it is so no more."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="loan_devices")
    name = models.CharField(max_length=120)
    serial = models.CharField(max_length=80, blank=True)
    kept_since = models.DateTimeField(default=timezone.now)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["shop", "name", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "name"],
                condition=Q(ended_at=None),
                name="a_loan_device_is_named_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name}, {self.serial}" if self.serial else self.name


class Loan(models.Model):
    """A device given out with a ticket, in which state, for which deposit."""

    ticket = models.ForeignKey(Ticket, models.PROTECT, related_name="loans")
    device = models.ForeignKey(LoanDevice, models.PROTECT, related_name="loans")
    given_at = models.DateTimeField(default=timezone.now)
    given_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    due_on = models.DateField(null=True, blank=True)
    given_with = models.CharField(max_length=200, blank=True)
    currency = models.CharField(max_length=3)
    deposit_minor = models.BigIntegerField(default=0)
    deposit_method = models.CharField(max_length=20, blank=True)

    deposit = Amount()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(deposit_minor__gte=0),
                name="a_loan_deposit_is_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.device} with {self.ticket}"


class LoanReturn(models.Model):
    """The device came back; once for each loan."""

    loan = models.OneToOneField(Loan, models.PROTECT, related_name="back")
    at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    state = models.CharField(max_length=200, blank=True)
    currency = models.CharField(max_length=3)
    deposit_back_minor = models.BigIntegerField(default=0)

    deposit_back = Amount()

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(deposit_back_minor__gte=0),
                name="what_is_given_back_is_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.loan} back"
