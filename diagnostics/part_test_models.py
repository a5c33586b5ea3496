"""Guided tests of parts: ``diagnostics.models`` shows these with the other rows."""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.intake.models import Ticket


class PartTest(models.Model):
    """A guided test of one part of a board; its result is computed. Append-only."""

    class Kind(models.TextChoices):
        MOSFET = "mosfet", _("MOSFET test")
        CHIP = "chip", _("Flash or MOSFET")

    uuid = models.UUIDField(unique=True, default=uuid.uuid4)
    board = models.ForeignKey(
        "diagnostics.Board", models.PROTECT, related_name="part_tests"
    )
    ticket = models.ForeignKey(
        Ticket, models.PROTECT, null=True, blank=True, related_name="part_tests"
    )
    epoch = models.PositiveIntegerField(default=0)
    kind = models.CharField(max_length=20, choices=Kind)
    label = models.CharField(_("which part"), max_length=80)
    setup = models.JSONField(default=dict)
    meter = models.ForeignKey(
        "diagnostics.Meter", models.PROTECT, null=True, related_name="+"
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    started_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(condition=~Q(label=""), name="a_part_has_its_label"),
        ]

    def __str__(self) -> str:
        return self.label


class PartTestStep(models.Model):
    """One step of a part test, or the taking back of the last. Append-only."""

    uuid = models.UUIDField(unique=True, default=uuid.uuid4)
    test = models.ForeignKey(PartTest, models.PROTECT, related_name="steps")
    step = models.CharField(max_length=40)
    typed = models.CharField(max_length=60, blank=True)
    outcome = models.CharField(max_length=20)
    value = models.FloatField(null=True)
    unit = models.CharField(max_length=10, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["by", "at"], name="part_test_step_of_person")]
        constraints = [
            models.CheckConstraint(
                condition=~Q(outcome="value") | Q(value__isnull=False),
                name="a_value_of_a_step_has_its_number",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.step}: {self.typed}"
