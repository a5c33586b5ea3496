"""How long the shop keeps what is personal, as its owner has said."""

from django.conf import settings
from django.db import models
from django.utils import timezone

from shop.people.models import Shop


class Period(models.Model):
    """So many days for one class of ``periods.py``, from then on. Append-only."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="periods")
    what = models.CharField(max_length=20)
    days = models.PositiveIntegerField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.what}: {self.days}"
