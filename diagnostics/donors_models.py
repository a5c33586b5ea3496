"""What was taken off a donor board; ``diagnostics.models`` shows it with its rows.

That the part is gone is an intervention like any other: the board's next epoch.
"""

from django.db import models

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
