"""The link on a customer's slip: it opens one ticket's page to whoever holds it."""

from django.db import models
from django.utils import timezone


class SlipLink(models.Model):
    """One address of one ticket. Its id is not in here: see ``slip_links``.

    ``random`` becomes the id by the house's secret key, which lies outside the
    database; ``id_hash`` finds the row again.
    """

    shop = models.ForeignKey("people.Shop", models.PROTECT, related_name="slip_links")
    ticket = models.ForeignKey(
        "intake.Ticket", models.PROTECT, related_name="slip_links"
    )
    random = models.CharField(max_length=32)
    id_hash = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField(default=timezone.now)
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.ticket} until {self.expires_at:%Y-%m-%d}"
