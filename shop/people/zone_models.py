"""By which clock the shop's days began and ended, and since when."""

from django.db import models
from django.utils import timezone


class ZoneChange(models.Model):
    """The shop took another time zone at a moment. Never edited.

    What happened before keeps the day that it had: books, papers and years hold.
    """

    shop = models.ForeignKey("people.Shop", models.PROTECT, related_name="zone_changes")
    at = models.DateTimeField(default=timezone.now)
    before = models.CharField(max_length=60)
    after = models.CharField(max_length=60)
    by = models.ForeignKey("people.Person", models.PROTECT, related_name="+")

    class Meta:
        ordering = ["shop", "at", "id"]

    def __str__(self) -> str:
        return f"{self.before} to {self.after}"
