"""The weekly sheets as they were made, and which owners wish to be sent them."""

from django.db import models
from django.utils import timezone

from shop.people.models import Person, Shop


class WeeklySheet(models.Model):
    """A week's sheet, kept as it was sent: later acts change nothing on it."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="weekly_sheets")
    monday = models.DateField()
    language = models.CharField(max_length=10)
    made_at = models.DateTimeField(default=timezone.now)
    pdf = models.BinaryField()

    class Meta:
        ordering = ["-monday"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "monday"], name="one_sheet_a_week")
        ]

    def __str__(self) -> str:
        return f"week of {self.monday}"


class WeeklyWish(models.Model):
    """An owner wants the sheet by e-mail, or no more; the newest row counts."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="weekly_wishes")
    person = models.ForeignKey(Person, models.PROTECT, related_name="weekly_wishes")
    is_wished = models.BooleanField()
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]
        verbose_name_plural = "weekly wishes"

    def __str__(self) -> str:
        return f"{self.person}: {self.is_wished}"
