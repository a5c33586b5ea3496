"""What is the shop's own: opening hours, closed days, texts, logo.

Texts and logos are dated rows that are never edited: a paper of last year keeps the
text and the picture of last year.
"""

from django.db import models
from django.db.models import F, Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _


class Weekday(models.IntegerChoices):
    MONDAY = 0, _("Monday")
    TUESDAY = 1, _("Tuesday")
    WEDNESDAY = 2, _("Wednesday")
    THURSDAY = 3, _("Thursday")
    FRIDAY = 4, _("Friday")
    SATURDAY = 5, _("Saturday")
    SUNDAY = 6, _("Sunday")


class OpeningHours(models.Model):
    """One stretch of a weekday in which the shop is open; 00:00 closes at midnight."""

    shop = models.ForeignKey(
        "people.Shop", models.PROTECT, related_name="opening_hours"
    )
    weekday = models.PositiveSmallIntegerField(choices=Weekday)
    opens = models.TimeField()
    closes = models.TimeField()

    class Meta:
        ordering = ["shop", "weekday", "opens"]
        constraints = [
            models.CheckConstraint(
                condition=Q(closes__gt=F("opens")) | Q(closes="00:00"),
                name="a_shop_closes_after_it_opens",
            ),
            models.CheckConstraint(
                condition=Q(weekday__lte=6), name="a_week_has_seven_days"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_weekday_display()} {self.opens:%H:%M} to {self.closes:%H:%M}"


class ClosedDay(models.Model):
    """Days on which the shop stays closed, whatever the week says."""

    shop = models.ForeignKey("people.Shop", models.PROTECT, related_name="closed_days")
    first = models.DateField()
    last = models.DateField()
    name = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["shop", "first"]
        constraints = [
            models.CheckConstraint(
                condition=Q(last__gte=F("first")),
                name="closed_days_end_after_they_begin",
            )
        ]

    def __str__(self) -> str:
        return self.name or f"{self.first:%Y-%m-%d}"


class TextKind(models.TextChoices):
    JOB_TERMS = "job_terms", _("terms on the job slip")
    CONSENT = "consent", _("about the customer’s data")
    QUOTE_RISK = "quote_risk", _("risk named on a quote")

    # Messages: the first line is the subject.
    TAKEN_IN = "taken_in", _("taken in")
    QUOTE_SENT = "quote_sent", _("quote sent")
    QUOTE_REMINDER = "quote_reminder", _("reminder of a quote")
    NEW_PROMISE = "new_promise", _("new promise, part late")
    READY = "ready", _("ready for collection")
    INVOICE = "invoice", _("invoice")
    UNCLAIMED_FIRST = "unclaimed_first", _("not collected, first notice")
    UNCLAIMED_SECOND = "unclaimed_second", _("not collected, second notice")
    UNCLAIMED_LAST = "unclaimed_last", _("not collected, last notice")
    THANKS = "thanks", _("thanks at handover")
    ACCOUNT_INVOICE = "account_invoice", _("monthly invoice of an account")
    STATEMENT = "statement", _("statement of account")

    # Also the words of the letter that is printed.
    REMINDER_FIRST = "reminder_first", _("payment reminder, first")
    REMINDER_SECOND = "reminder_second", _("payment reminder, second")
    REMINDER_LAST = "reminder_last", _("payment reminder, last")


class ShopText(models.Model):
    """A text that customers read, in one language. Never edited."""

    shop = models.ForeignKey("people.Shop", models.PROTECT, related_name="texts")
    kind = models.CharField(max_length=20, choices=TextKind)
    language = models.CharField(max_length=10)
    text = models.TextField(blank=True, max_length=4000)
    is_ours = models.BooleanField(default=False)  # as it came with the program
    made_at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey("people.Person", models.PROTECT, related_name="+")

    class Meta:
        ordering = ["id"]
        indexes = [
            models.Index(fields=["shop", "kind", "language"], name="text_of_shop")
        ]

    def __str__(self) -> str:
        return f"{self.kind} ({self.language})"


class TextsRead(models.Model):
    """The owner has read the texts as they stood then, and found them right."""

    shop = models.ForeignKey("people.Shop", models.PROTECT, related_name="texts_read")
    by = models.ForeignKey("people.Person", models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]
        verbose_name_plural = "texts read"

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M}"


class Logo(models.Model):
    """The shop's picture for its papers, as we encoded it. The newest counts."""

    shop = models.ForeignKey("people.Shop", models.PROTECT, related_name="logos")
    png = models.BinaryField()  # empty: from now on no logo
    kept_at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey("people.Person", models.PROTECT, related_name="+")

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{len(self.png)} bytes"
