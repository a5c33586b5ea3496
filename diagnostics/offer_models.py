"""Which board families a shop works on: dated rows, never edited."""

from django.conf import settings
from django.db import models
from django.utils import timezone

from shop.people.models import Shop


class FamilyOffer(models.Model):
    """From a moment on a family is offered for new board models, or no more.

    A family without a row is offered; boards that are known go on whatever is said.
    """

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="family_offers")
    family = models.CharField(max_length=40)
    is_offered = models.BooleanField()
    valid_from = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    set_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["shop", "valid_from", "id"]

    def __str__(self) -> str:
        return f"{self.family}: {'offered' if self.is_offered else 'not offered'}"
