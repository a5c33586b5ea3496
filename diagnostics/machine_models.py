"""Machine time: what runs by itself on a ticket's machine, from a start to an end."""

import uuid

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.intake.models import Ticket


class MachineKind(models.TextChoices):
    """What may run unattended; the first four are items of the proof."""

    LOAD_RUN = "load_run", _("load run")
    MEMORY_TEST = "memory_test", _("memory test")
    SOAK = "soak", _("soak test")
    BATTERY_RUN = "battery_run", _("battery run")
    DRYING = "drying", _("drying")
    CHARGING = "charging", _("charging")


class MachineRun(models.Model):
    """Something was left to run. Append-only; its end is a row of its own."""

    uuid = models.UUIDField(unique=True, default=uuid.uuid4)
    ticket = models.ForeignKey(Ticket, models.PROTECT, related_name="machine_runs")
    board = models.ForeignKey(
        "diagnostics.Board",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="machine_runs",
    )
    kind = models.CharField(max_length=20, choices=MachineKind)
    planned_minutes = models.PositiveIntegerField(null=True, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    started_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]
        indexes = [
            models.Index(fields=["by", "started_at"], name="machine_run_of_person")
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.started_at:%Y-%m-%d %H:%M}"


class MachineEnd(models.Model):
    """A run that ended, and when. Append-only."""

    run = models.OneToOneField(MachineRun, models.PROTECT, related_name="end")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.run} to {self.ended_at:%H:%M}"
