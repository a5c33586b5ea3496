"""The till, reminders, and what the accounts are called: rows that are never edited."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.billing.loan_models import Loan, LoanReturn
from shop.billing.models import Invoice, Payment
from shop.money import Amount
from shop.people.models import Shop


class CashMove(models.Model):
    """Cash into the till (above zero) or out of it, for no ticket."""

    class Why(models.TextChoices):
        FROM_OWNER = "from_owner", _("put in by the owner (float)")
        FROM_BANK = "from_bank", _("fetched from the bank (change)")
        TO_BANK = "to_bank", _("taken to the bank")
        TO_OWNER = "to_owner", _("taken out by the owner")
        BOUGHT = "bought", _("something bought for the shop")

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="cash_moves")
    why = models.CharField(max_length=20, choices=Why)
    currency = models.CharField(max_length=3)
    amount_minor = models.BigIntegerField()
    said = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    amount = Amount()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(why__in=["from_owner", "from_bank"], amount_minor__gt=0)
                | Q(why__in=["to_bank", "to_owner", "bought"], amount_minor__lt=0),
                name="cash_moves_the_way_it_says",
            )
        ]

    def __str__(self) -> str:
        return f"{self.why} {self.amount}"


class CashDay(models.Model):
    """The till counted, and signed for. The first count says what it began with."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="cash_days")
    serial = models.PositiveIntegerField()
    currency = models.CharField(max_length=3)
    carried_minor = models.BigIntegerField()
    expected_minor = models.BigIntegerField()
    counted_minor = models.BigIntegerField()
    pieces = models.JSONField(default=dict)  # how many of each note and coin
    reason = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    carried = Amount()
    expected = Amount()
    counted = Amount()

    class Meta:
        ordering = ["serial"]
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "serial"], name="a_till_is_counted_once_at_a_time"
            ),
            models.CheckConstraint(
                condition=Q(counted_minor__gte=0),
                name="no_till_holds_less_than_nothing",
            ),
            models.CheckConstraint(
                condition=Q(counted_minor=F("expected_minor"))
                | Q(serial=1)
                | ~Q(reason=""),
                name="a_difference_has_a_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.serial}"

    @property
    def difference_minor(self) -> int:
        return self.counted_minor - self.expected_minor

    difference = Amount()

    @property
    def is_first(self) -> bool:
        return self.serial == 1


class DayPayment(models.Model):
    """A payment that a day end has taken in: each is in one, the late ones later."""

    day = models.ForeignKey(CashDay, models.PROTECT, related_name="payments")
    payment = models.OneToOneField(
        Payment, models.PROTECT, related_name="cash_day", primary_key=True
    )

    def __str__(self) -> str:
        return f"{self.day}: {self.payment}"


class DayMove(models.Model):
    """A cash move that a day end has taken in."""

    day = models.ForeignKey(CashDay, models.PROTECT, related_name="moves")
    move = models.OneToOneField(
        CashMove, models.PROTECT, related_name="cash_day", primary_key=True
    )

    def __str__(self) -> str:
        return f"{self.day}: {self.move}"


class DayDeposit(models.Model):
    """A loan's deposit, taken or given back, that a day end has taken in.

    Without a day it was counted before tills knew of deposits: no count and no
    journal has it any more.
    """

    day = models.ForeignKey(
        CashDay, models.PROTECT, null=True, blank=True, related_name="deposits"
    )
    loan = models.OneToOneField(
        Loan, models.PROTECT, null=True, blank=True, related_name="cash_day"
    )
    back = models.OneToOneField(
        LoanReturn, models.PROTECT, null=True, blank=True, related_name="cash_day"
    )

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(loan=None, back__isnull=False)
                | Q(loan__isnull=False, back=None),
                name="a_deposit_comes_or_goes",
            )
        ]

    def __str__(self) -> str:
        return f"{self.day}: {self.loan or self.back}"


class ReminderRule(models.Model):
    """After how many days unpaid each reminder may go out, from a moment on."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="reminder_rules")
    first_days = models.PositiveIntegerField()
    second_days = models.PositiveIntegerField()
    last_days = models.PositiveIntegerField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(second_days__gt=F("first_days"))
                & Q(last_days__gt=F("second_days")),
                name="reminders_come_one_after_the_other",
            )
        ]

    def __str__(self) -> str:
        return f"{self.first_days}, {self.second_days}, {self.last_days}"


class PaymentReminder(models.Model):
    """A reminder that went out: of which invoice, how much was owed then."""

    invoice = models.ForeignKey(Invoice, models.PROTECT, related_name="reminders")
    level = models.PositiveSmallIntegerField()
    currency = models.CharField(max_length=3)
    owed_minor = models.BigIntegerField()
    language = models.CharField(max_length=10)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    owed = Amount()

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["invoice", "level"], name="each_reminder_goes_out_once"
            ),
            models.CheckConstraint(
                condition=Q(level__gte=1, level__lte=3),
                name="there_are_three_reminders",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.invoice}, {self.level}"


class AccountName(models.Model):
    """The number and name of an account in the journal, from a day on."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="account_names")
    code = models.CharField(max_length=40)
    number = models.CharField(max_length=20)
    name = models.CharField(max_length=80)
    since = models.DateField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.number} {self.name}"
