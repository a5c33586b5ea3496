"""Donors: that they are ours, and what was taken off; ``models`` shows them.

That the part is gone is an intervention like any other: the board's next epoch.
"""

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.intake.models import Ticket


class TakenOff(models.Model):
    """What an intervention on a donor took off, and for whom. Append-only.

    ``name`` is for what the family does not know; ``for_ticket`` is where it goes.
    """

    intervention = models.OneToOneField(
        "diagnostics.Intervention", models.PROTECT, related_name="taken_off"
    )
    name = models.CharField(max_length=80, blank=True)
    for_ticket = models.ForeignKey(
        Ticket, models.PROTECT, null=True, blank=True, related_name="taken_off"
    )

    class Meta:
        ordering = ["id"]
        verbose_name_plural = "taken off"

    def __str__(self) -> str:
        return self.name or self.intervention.part_id


class DonorPaper(models.Model):
    """Why a donor is ours to take apart: which paper says so. Append-only.

    The newest counts. ``reference`` is its number, or where it is filed.
    """

    class Kind(models.TextChoices):
        LEFT = "left", _("left with us, signed by its owner")
        BOUGHT = "bought", _("bought, with its receipt")
        GIVEN = "given", _("given to us, in writing")
        OWN = "own", _("our own from the start")

    board = models.ForeignKey(
        "diagnostics.Board", models.PROTECT, related_name="donor_papers"
    )
    kind = models.CharField(max_length=20, choices=Kind)
    reference = models.CharField(max_length=80)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.kind}: {self.reference}"
