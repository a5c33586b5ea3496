"""Quotes as sent, their drafts and their answers: rows and constraints."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.billing.document_models import DocumentLine
from shop.intake.models import Ticket
from shop.money import Amount


class Quote(models.Model):
    """A quote as sent. Never edited: the next version takes its place.

    A version with options is a row for each of them, of which one may be said yes to.
    """

    ticket = models.ForeignKey(Ticket, models.PROTECT, related_name="quotes")
    version = models.PositiveIntegerField()
    option = models.CharField(max_length=1, blank=True)  # A, B or C; none: it is one
    option_title = models.CharField(max_length=80, blank=True)
    currency = models.CharField(max_length=3)
    net_minor = models.BigIntegerField()
    tax_minor = models.BigIntegerField()
    total_minor = models.BigIntegerField()
    cap_minor = models.BigIntegerField()
    deposit_minor = models.BigIntegerField(default=0)
    cause = models.CharField(max_length=300, blank=True)
    risk = models.CharField(max_length=800, blank=True)
    valid_until = models.DateField()
    seller = models.JSONField(default=dict, blank=True)  # none: sent before it was kept
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    sent_at = models.DateTimeField(default=timezone.now)

    net = Amount()
    tax = Amount()
    total = Amount()
    cap = Amount()
    deposit = Amount()

    class Meta:
        ordering = ["ticket", "version", "option"]
        indexes = [models.Index(fields=["valid_until"], name="quote_by_last_day")]
        constraints = [
            models.UniqueConstraint(
                fields=["ticket", "version", "option"],
                name="a_quote_version_is_sent_once",
            ),
            models.CheckConstraint(
                condition=Q(cap_minor__gte=F("total_minor")),
                name="the_cap_covers_the_quote",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.ticket} v{self.version}{self.option}"

    @property
    def name(self) -> str:
        """``2``, or with its option ``2 B``."""
        return f"{self.version} {self.option}".strip()


class QuoteLine(DocumentLine):
    quote = models.ForeignKey(Quote, models.PROTECT, related_name="lines")
    currency = models.CharField(max_length=3)

    net = Amount()

    class Meta(DocumentLine.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["quote", "position"], name="a_quote_line_has_its_place"
            ),
        ]


class QuoteDraft(models.Model):
    """The next version of a quote, written down and not sent. Append-only.

    It is that of ``version`` until that one is sent; the newest draft counts.
    """

    ticket = models.ForeignKey(Ticket, models.PROTECT, related_name="quote_drafts")
    version = models.PositiveIntegerField()
    cause = models.CharField(max_length=300, blank=True)
    risks = models.CharField(max_length=80, blank=True)  # codes, a blank between
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.ticket} v{self.version}, draft"


class QuoteDraftLine(DocumentLine):
    draft = models.ForeignKey(QuoteDraft, models.PROTECT, related_name="lines")
    currency = models.CharField(max_length=3)

    net = Amount()

    class Meta(DocumentLine.Meta):
        constraints = [
            models.UniqueConstraint(
                fields=["draft", "position"], name="a_draft_line_has_its_place"
            ),
        ]


class QuoteAnswer(models.Model):
    """Yes or no to one quote: who, how, when, to which exact total."""

    class Channel(models.TextChoices):
        COUNTER = "counter", _("at the counter")
        PHONE = "phone", _("by phone")
        EMAIL = "email", _("by e-mail")
        SLIP_LINK = "slip_link", _("by slip link")

    class DeclineReason(models.TextChoices):
        PRICE = "price", _("price")
        TOO_LONG = "too_long", _("too long")
        DATA_ONLY = "data_only", _("data only")
        BOUGHT_NEW = "bought_new", _("bought new")

    quote = models.OneToOneField(Quote, models.PROTECT, related_name="answer")
    # Ticket and version: of all options of a version one is answered.
    of_version = models.CharField(max_length=40, unique=True, null=True, blank=True)
    is_yes = models.BooleanField()
    decline_reason = models.CharField(max_length=20, choices=DeclineReason, blank=True)
    answered_by = models.CharField(max_length=200)
    channel = models.CharField(max_length=20, choices=Channel)
    total_minor = models.BigIntegerField()
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+"
    )
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        indexes = [models.Index(fields=["at"], name="quote_answer_of_day")]

    def __str__(self) -> str:
        return "yes" if self.is_yes else "no"
