"""The proof of repair: its items, how far it goes, the photos on its sheet.

All of it is append-only: the newest row counts. ``diagnostics.models`` shows these
with the other rows.
"""

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from shop.intake.models import Ticket
from shop.photos.models import Photo


class ProofItem(models.Model):
    """One item of the proof of repair, or one tick of it (``part``)."""

    class Result(models.TextChoices):
        PASSED = "passed", _("passed")
        FAILED = "failed", _("failed")
        WAIVED = "waived", _("waived")
        NOT_FITTED = "not_fitted", _("not fitted")
        TAKEN_BACK = "taken_back", _("taken back")

    ticket = models.ForeignKey(Ticket, models.PROTECT, related_name="proof_items")
    item = models.CharField(max_length=40)
    part = models.CharField(max_length=40, blank=True)
    result = models.CharField(max_length=20, choices=Result)
    count = models.PositiveSmallIntegerField(null=True)
    minutes = models.PositiveIntegerField(null=True)
    note = models.ForeignKey(
        "records.Note", models.PROTECT, null=True, related_name="+"
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["by", "at"], name="proof_item_of_person")]

    def __str__(self) -> str:
        return f"{self.item}: {self.result}"


class ProofLevel(models.Model):
    """How far this ticket's repair is proved, as somebody chose it."""

    class Level(models.TextChoices):
        SHORT = "short", pgettext_lazy("how far a repair is proved", "short")
        FULL = "full", pgettext_lazy("how far a repair is proved", "full")

    ticket = models.ForeignKey(Ticket, models.PROTECT, related_name="proof_levels")
    level = models.CharField(max_length=10, choices=Level)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.ticket}: {self.level}"


class ProofPhoto(models.Model):
    """A photo was put on the proof sheet, or taken off it."""

    ticket = models.ForeignKey(Ticket, models.PROTECT, related_name="proof_photos")
    photo = models.ForeignKey(Photo, models.PROTECT, related_name="+")
    is_on = models.BooleanField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.photo} {'on' if self.is_on else 'off'}"
