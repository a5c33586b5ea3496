"""How a board stands on the bench, and which checks were passed by.

Both are facts, append-only. ``diagnostics.models`` shows them with the other rows.
"""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.intake.models import Ticket


class ConditionSet(models.Model):
    """Somebody said: the board is so now. It holds until another is said or read."""

    class Condition(models.TextChoices):
        UNPOWERED = "U", _("no power")
        OFF = "A", _("supplied, off")
        BUTTON = "B", _("just switched on")
        RUNNING = "R", _("running")
        ASLEEP = "S", _("asleep")
        INJECTION = "J", _("injection supply alone")

    uuid = models.UUIDField(unique=True, default=uuid.uuid4)
    board = models.ForeignKey(
        "diagnostics.Board", models.PROTECT, related_name="conditions"
    )
    ticket = models.ForeignKey(
        Ticket, models.PROTECT, null=True, blank=True, related_name="+"
    )
    epoch = models.PositiveIntegerField()
    check_id = models.CharField(max_length=20)
    condition = models.CharField(max_length=2, choices=Condition)
    fitted = models.JSONField(default=list)
    supply_volts = models.FloatField(null=True)
    supply_limit_amps = models.FloatField(null=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    received_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["board", "id"], name="condition_of_board")]

    def __str__(self) -> str:
        return f"{self.condition} {self.at:%Y-%m-%d %H:%M}"


class PassedBy(models.Model):
    """A check was passed by, and why; or it is to be taken after all."""

    class Why(models.TextChoices):
        CANT_GET_AT = "cant_get_at", _("can’t get at it")
        LATER = "later", _("later")
        NOT_NEEDED = "not_needed", _("not needed")
        IN_WORDS = "in_words", _("another reason")
        AFTER_ALL = "after_all", _("after all")

    uuid = models.UUIDField(unique=True, default=uuid.uuid4)
    board = models.ForeignKey(
        "diagnostics.Board", models.PROTECT, related_name="passed_by"
    )
    ticket = models.ForeignKey(
        Ticket, models.PROTECT, null=True, blank=True, related_name="+"
    )
    epoch = models.PositiveIntegerField()
    check_id = models.CharField(max_length=20)
    why = models.CharField(max_length=20, choices=Why)
    note = models.ForeignKey(
        "records.Note", models.PROTECT, null=True, related_name="+"
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField()
    received_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["board", "id"], name="passed_by_of_board")]
        constraints = [
            models.CheckConstraint(
                condition=~Q(why="in_words") | Q(note__isnull=False),
                name="another_reason_has_its_words",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.check_id}: {self.why}"
