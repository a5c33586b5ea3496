"""From when on the office calls something late: a dated row, never edited."""

from datetime import timedelta

from django.db import models
from django.db.models import Q
from django.utils import timezone


class OfficeLimits(models.Model):
    """After how many days the office's lists name what waits or is owed.

    From a moment on; the row that begins last counts, and of those that begin at one
    moment the last. Before the first row: the defaults.
    """

    shop = models.ForeignKey(
        "people.Shop", models.PROTECT, related_name="office_limits"
    )
    valid_from = models.DateTimeField(default=timezone.now)
    untouched_days = models.PositiveIntegerField(default=3)
    unanswered_days = models.PositiveIntegerField(default=3)
    owed_days = models.PositiveIntegerField(default=14)
    by = models.ForeignKey("people.Person", models.PROTECT, related_name="+")
    set_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["shop", "valid_from", "id"]
        verbose_name_plural = "office limits"
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    untouched_days__gte=1, unanswered_days__gte=1, owed_days__gte=1
                ),
                name="a_limit_of_the_office_is_a_day_at_least",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.shop} from {self.valid_from:%Y-%m-%d}"

    @property
    def untouched(self) -> timedelta:
        """Taken in, and nobody has begun."""
        return timedelta(days=self.untouched_days)

    @property
    def unanswered(self) -> timedelta:
        """Asked, and the customer has not answered."""
        return timedelta(days=self.unanswered_days)

    @property
    def owed(self) -> timedelta:
        """Billed, and not paid."""
        return timedelta(days=self.owed_days)
