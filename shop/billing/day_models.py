"""Days that somebody confirmed: what of the clock was seen, what was recorded."""

from django.conf import settings
from django.db import models
from django.utils import timezone

from shop.people.models import Shop


class ConfirmedDay(models.Model):
    """One confirming of a person's day, or of one ticket of it. Append-only.

    ``seen`` are the minutes that the clock showed, by ticket and kind, whatever was
    recorded of them: what comes in later is proposed by the difference. Minutes typed
    by hand up to ``newest_entry`` were known then. ``is_whole`` is the person's own
    "this was my day".
    """

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="confirmed_days")
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="confirmed_days"
    )
    day = models.DateField()
    round = models.PositiveSmallIntegerField()
    seen = models.JSONField(default=dict)
    entries = models.JSONField(default=list)
    newest_entry = models.BigIntegerField(default=0)
    is_whole = models.BooleanField(default=True)
    until = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "person", "day", "round"],
                name="a_day_is_confirmed_once_a_round",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person} {self.day:%Y-%m-%d}"
