"""What is said and seen of a board beside its readings: advice, words, sightings.

All of it is append-only. ``diagnostics.models`` shows these with the other rows.
"""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.intake.models import Ticket


class Advice(models.Model):
    """What the engine said at a moment that matters, and on what it rested.

    ``suspects`` are {part, mode, p}, likeliest first; ``words`` what technicians had
    said of suspects by then, {part, mode, kind, by}, so that it can be counted who
    was right. ``next_check`` is the point that was offered.
    """

    class Moment(models.TextChoices):
        SUSPECT_NAMED = "suspect_named", _("suspect named")
        OFFER_OVERRULED = "offer_overruled", _("offered check overruled")
        OFFER_FOLLOWED = "offer_followed", _("offered check taken")
        QUOTE_DRAFTED = "quote_drafted", _("quote drafted")
        FINDING_CONFIRMED = "finding_confirmed", _("finding confirmed")
        TICKET_CLOSED = "ticket_closed", _("ticket closed")

    board = models.ForeignKey(
        "diagnostics.Board", models.PROTECT, related_name="advice"
    )
    ticket = models.ForeignKey(
        Ticket, models.PROTECT, null=True, blank=True, related_name="advice"
    )
    moment = models.CharField(max_length=20, choices=Moment)
    suspects = models.JSONField()
    something_else = models.FloatField()
    words = models.JSONField(default=list)
    next_check = models.CharField(max_length=60, blank=True)
    was_followed = models.BooleanField(null=True)
    reading_ids = models.JSONField()
    engine_version = models.CharField(max_length=20)
    family_hash = models.CharField(max_length=64)
    lore_boards = models.PositiveIntegerField(default=0)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+"
    )
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]
        verbose_name_plural = "advice"

    def __str__(self) -> str:
        return f"{self.moment} {self.at:%Y-%m-%d %H:%M}"


class SuspectWord(models.Model):
    """A technician's own word on a suspect: added, or struck with a reason.

    The newest word on a suspect counts; taken back, it is as if none was said.
    """

    class Kind(models.TextChoices):
        ADDED = "added", _("added")
        STRUCK = "struck", _("struck")
        TAKEN_BACK = "taken_back", _("taken back")

    class Chip(models.TextChoices):
        MEASURED_GOOD = "measured_good", _("measured good")
        SEEN_INTACT = "seen_intact", _("seen intact under the microscope")
        RENEWED = "renewed", _("just renewed")
        NOT_ON_BOARD = "not_on_board", _("not on this board")
        KNOWN_WEAKNESS = "known_weakness", _("known weakness of this model")
        LOOKS_WRONG = "looks_wrong", _("looks wrong")
        OTHER = "other", _("another reason")

    board = models.ForeignKey(
        "diagnostics.Board", models.PROTECT, related_name="suspect_words"
    )
    ticket = models.ForeignKey(
        Ticket, models.PROTECT, null=True, blank=True, related_name="suspect_words"
    )
    epoch = models.PositiveIntegerField()
    part_id = models.CharField(max_length=40)
    mode_id = models.CharField(max_length=40)
    kind = models.CharField(max_length=10, choices=Kind)
    chip = models.CharField(max_length=20, choices=Chip, blank=True)
    note = models.ForeignKey(
        "records.Note", models.PROTECT, null=True, related_name="+"
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(part_id="") & ~Q(mode_id=""),
                name="a_word_names_part_and_failure",
            ),
            models.CheckConstraint(
                condition=Q(kind="taken_back") | ~Q(chip=""),
                name="a_word_has_its_reason",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind}: {self.part_id} {self.mode_id}"


class Sighting(models.Model):
    """Something seen at a part or a rail, without a meter. Struck by an event."""

    class Kind(models.TextChoices):
        BURNT = "burnt", _("burnt")
        CORRODED = "corroded", _("corroded")
        CRACKED = "cracked", _("cracked")
        MISSING = "missing", _("missing")
        HOT = "hot", _("hot")
        FLUX = "flux", _("flux or solder marks")

    uuid = models.UUIDField(unique=True, default=uuid.uuid4)
    board = models.ForeignKey(
        "diagnostics.Board", models.PROTECT, related_name="sightings"
    )
    ticket = models.ForeignKey(
        Ticket, models.PROTECT, null=True, blank=True, related_name="sightings"
    )
    epoch = models.PositiveIntegerField()
    kind = models.CharField(max_length=10, choices=Kind)
    part_id = models.CharField(max_length=40, blank=True)
    rail_id = models.CharField(max_length=40, blank=True)
    place = models.CharField(max_length=80, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["by", "at"], name="sighting_of_person")]
        constraints = [
            models.CheckConstraint(
                condition=Q(part_id="") ^ Q(rail_id=""),
                name="a_sighting_is_at_a_part_or_a_rail",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.part_id or self.rail_id}"
