"""Boards, readings, interventions, findings: rows and constraints.

A board is not a ticket: it stands alone and joins tickets. Readings are
append-only; a wrong one is struck by an event and stops counting.
"""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from diagnostics.advice_models import Advice, Sighting, SuspectWord
from diagnostics.bench_models import ConditionSet, PassedBy
from diagnostics.donors_models import DonorPaper, TakenOff
from diagnostics.finder_models import (
    BoardMark,
    BoardOutline,
    BoardPicture,
    CircuitWord,
    PictureSide,
)
from diagnostics.machine_models import MachineEnd, MachineKind, MachineRun
from diagnostics.offer_models import FamilyOffer
from diagnostics.part_test_models import PartTest, PartTestStep
from diagnostics.proof_models import ProofItem, ProofLevel, ProofPhoto
from shop.intake.models import Ticket
from shop.people.models import Shop

__all__ = [
    "Advice",
    "Board",
    "BoardMark",
    "BoardModel",
    "BoardModelRevision",
    "BoardOutline",
    "BoardPicture",
    "Calculation",
    "CircuitWord",
    "ConditionSet",
    "DiskWord",
    "DonorPaper",
    "FamilyOffer",
    "Finding",
    "GateOverride",
    "Intervention",
    "InterventionKind",
    "KeptGood",
    "MachineEnd",
    "MachineKind",
    "MachineRun",
    "Meter",
    "Origin",
    "PartTest",
    "PartTestStep",
    "PassedBy",
    "PictureSide",
    "Polarity",
    "ProofItem",
    "ProofLevel",
    "ProofPhoto",
    "Reading",
    "ReadingOutcome",
    "ReadingSource",
    "Sighting",
    "SuspectWord",
    "TakenOff",
    "TicketBoard",
]


class BoardModel(models.Model):
    """A kind of board, known by the number printed on it."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="board_models")
    number = models.CharField(_("board number"), max_length=80)
    name = models.CharField(_("machine"), max_length=120, blank=True)
    family = models.CharField(max_length=40)
    made_at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "number"], name="a_board_number_is_known_once"
            ),
        ]

    def __str__(self) -> str:
        return self.number

    def get_absolute_url(self) -> str:
        """All that the shop knows of it: its board lore."""
        return reverse("desk:lore", args=[self.pk])


class BoardModelRevision(models.Model):
    """One change of a board model over its family. Append-only."""

    board_model = models.ForeignKey(
        BoardModel, models.PROTECT, related_name="revisions"
    )
    key = models.CharField(max_length=120)
    old = models.JSONField(null=True)
    new = models.JSONField(null=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    why = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return self.key


class Origin(models.TextChoices):
    CUSTOMER = "customer", _("a customer's")
    DONOR = "donor", _("donor")
    KNOWN_GOOD = "known_good", _("known good")


class Board(models.Model):
    """One board on the bench."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="boards")
    board_model = models.ForeignKey(BoardModel, models.PROTECT, related_name="boards")
    origin = models.CharField(max_length=20, choices=Origin, default=Origin.CUSTOMER)
    serial = models.CharField(_("serial number"), max_length=80, blank=True)
    marking = models.CharField(_("marking"), max_length=120, blank=True)
    seen_at = models.DateTimeField(default=timezone.now)

    class Meta:
        indexes = [
            models.Index(fields=["board_model", "origin", "id"], name="board_of_model"),
        ]

    def __str__(self) -> str:
        return f"{self.board_model} {self.serial}".strip()


class TicketBoard(models.Model):
    """A board that a ticket is about."""

    ticket = models.ForeignKey(Ticket, models.PROTECT, related_name="ticket_boards")
    board = models.ForeignKey(Board, models.PROTECT, related_name="ticket_boards")
    joined_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.UniqueConstraint(
                fields=["ticket", "board"], name="a_board_joins_a_ticket_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.ticket}: {self.board}"


class Meter(models.Model):
    """A meter of the shop; its accuracy is a list of ranges.

    Its figures are never edited, because readings were judged by them: a change or
    a calibration retires the row and keeps a new one of the same name.
    """

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="meters")
    name = models.CharField(max_length=80)
    ranges = models.JSONField(default=list, blank=True)
    diode_amps = models.FloatField(default=0.001)
    diode_volts = models.FloatField(default=3.0)
    calibration_due = models.DateField(null=True, blank=True)
    since = models.DateTimeField(default=timezone.now)
    retired_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "name"],
                condition=Q(retired_at=None),
                name="a_meter_has_its_own_name",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class ReadingOutcome(models.TextChoices):
    VALUE = "value", _("value")
    OVER_LIMIT = "ol", _("OL, over limit")
    CLIMBING = "climbing", _("still climbing")
    CANT_REACH = "cant_reach", _("can't reach")
    NOT_FITTED = "not_fitted", _("not fitted")
    CATEGORY = "category", _("seen")


class Polarity(models.TextChoices):
    RED_ON_POINT = "red_on_point", _("red on the point")
    RED_ON_GROUND = "red_on_ground", _("red on ground")


class ReadingSource(models.TextChoices):
    """Whose reading it is: ours, or told by another repairer (low weight)."""

    OURS = "ours", _("ours")
    TOLD = "told", _("told")


class Reading(models.Model):
    """One value at one point, by one person, with one meter. Append-only."""

    uuid = models.UUIDField(unique=True, default=uuid.uuid4)
    board = models.ForeignKey(Board, models.PROTECT, related_name="readings")
    ticket = models.ForeignKey(
        Ticket, models.PROTECT, null=True, blank=True, related_name="readings"
    )
    epoch = models.PositiveIntegerField(default=0)
    check_id = models.CharField(max_length=20)
    point_id = models.CharField(max_length=60)
    mode = models.CharField(max_length=2)
    polarity = models.CharField(
        max_length=20, choices=Polarity, default=Polarity.RED_ON_POINT
    )
    condition = models.CharField(max_length=2, blank=True)
    fitted = models.JSONField(default=list)
    source = models.CharField(
        max_length=10, choices=ReadingSource, default=ReadingSource.OURS
    )

    typed = models.CharField(max_length=60, blank=True)
    outcome = models.CharField(max_length=20, choices=ReadingOutcome)
    value = models.FloatField(null=True)
    unit = models.CharField(max_length=10, blank=True)
    decimals = models.PositiveSmallIntegerField(null=True)
    digit = models.FloatField(null=True)
    category = models.CharField(max_length=40, blank=True)
    pattern = models.JSONField(null=True)
    full_scale = models.FloatField(null=True)

    meter = models.ForeignKey(Meter, models.PROTECT, null=True, related_name="+")
    lead_ohms = models.FloatField(null=True)
    is_four_wire = models.BooleanField(default=False)
    supply_volts = models.FloatField(null=True)
    supply_limit_amps = models.FloatField(null=True)
    supply_actual_volts = models.FloatField(null=True)

    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    taken_at = models.DateTimeField()
    tablet_offset_seconds = models.FloatField(null=True)
    received_at = models.DateTimeField(default=timezone.now)
    tablet_sequence = models.BigIntegerField(null=True)
    # It had waited on a tablet until its ticket was closed.
    is_late = models.BooleanField(default=False)
    # Written on a bench sheet, and typed in later.
    is_from_paper = models.BooleanField(default=False)
    # The house vouches for who took it; not so after a wrong PIN typed without network.
    is_confirmed = models.BooleanField(default=True)
    note = models.ForeignKey(
        "records.Note", models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        ordering = ["id"]
        indexes = [
            models.Index(fields=["board", "id"], name="reading_of_board"),
            models.Index(fields=["ticket", "id"], name="reading_of_ticket"),
            models.Index(fields=["by", "check_id", "taken_at"], name="reading_of_day"),
            models.Index(fields=["by", "taken_at"], name="reading_of_person"),
        ]
        constraints = [
            models.CheckConstraint(
                condition=~Q(outcome=ReadingOutcome.VALUE) | Q(value__isnull=False),
                name="a_value_has_its_number",
            ),
            models.CheckConstraint(
                condition=~Q(outcome=ReadingOutcome.CATEGORY) | ~Q(category=""),
                name="what_was_seen_is_named",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.point_id}: {self.typed or self.category}"


class Calculation(models.Model):
    """A figure reckoned at the bench, and what it was reckoned from. Append-only.

    ``typed`` are the entries as typed, ``inputs`` the same in SI; ``reasons`` are
    codes with values. ``reading`` is the one that the result was stored as.
    """

    uuid = models.UUIDField(unique=True, default=uuid.uuid4)
    board = models.ForeignKey(Board, models.PROTECT, related_name="calculations")
    ticket = models.ForeignKey(
        Ticket, models.PROTECT, null=True, blank=True, related_name="calculations"
    )
    epoch = models.PositiveIntegerField(default=0)
    calculator_id = models.CharField(max_length=20)
    point_id = models.CharField(max_length=60, blank=True)
    typed = models.JSONField()
    inputs = models.JSONField()
    result = models.JSONField()
    reasons = models.JSONField()
    engine_version = models.CharField(max_length=20)
    reading = models.ForeignKey(
        Reading, models.PROTECT, null=True, blank=True, related_name="calculations"
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]
        indexes = [
            models.Index(fields=["board", "id"], name="calculation_of_board"),
            models.Index(fields=["by", "at"], name="calculation_of_person"),
        ]

    def __str__(self) -> str:
        return f"{self.calculator_id} {self.at:%Y-%m-%d %H:%M}"


class InterventionKind(models.TextChoices):
    REMOVED = "removed", _("removed")
    FITTED = "fitted", _("fitted")
    REPLACED = "replaced", _("replaced")
    LIFTED = "lifted", _("lifted")
    REFLOWED = "reflowed", _("reflowed")
    CLEANED = "cleaned", _("cleaned")
    SWAPPED = "swapped", _("cable or adapter swapped")
    REWRITTEN = "rewritten", _("flash rewritten")
    ERASED = "erased", _("drive erased")
    REINSTALLED = "reinstalled", _("system reinstalled")
    AWAY = "away", _("was away, and is back")  # not by a hand of ours: see board_join


class DiskWord(models.TextChoices):
    """What is known of an encrypted disk before something may lock it."""

    KEY_SEEN = "key_seen", _("recovery key seen")
    RISK_KNOWN = "risk_known", _("customer knows the risk")
    NOT_ENCRYPTED = "not_encrypted", _("no encrypted disk")


class Intervention(models.Model):
    """What was done to the board: it starts the board's next epoch."""

    board = models.ForeignKey(Board, models.PROTECT, related_name="interventions")
    ticket = models.ForeignKey(
        Ticket, models.PROTECT, null=True, blank=True, related_name="interventions"
    )
    epoch = models.PositiveIntegerField()
    kind = models.CharField(max_length=20, choices=InterventionKind)
    part_id = models.CharField(max_length=40, blank=True)
    place = models.CharField(max_length=80, blank=True)
    disk = models.CharField(max_length=20, choices=DiskWord, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["by", "at"], name="intervention_of_person")]
        constraints = [
            models.UniqueConstraint(
                fields=["board", "epoch"], name="an_epoch_has_one_beginning"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.part_id}"


class GateOverride(models.Model):
    """Power past an unclear gate: limited, with a name and a reason."""

    class Chip(models.TextChoices):
        MEASURED_ELSEWHERE = "measured_elsewhere", _("measured elsewhere")
        SEEN_ON_SCOPE = "seen_on_scope", _("seen on the scope")
        CAME_WITH_BOARD = "came_with_board", _("readings came with the board")
        LIMITED_POWER = "limited_power", _("bench supply, current limit set")

    board = models.ForeignKey(Board, models.PROTECT, related_name="gate_overrides")
    ticket = models.ForeignKey(
        Ticket, models.PROTECT, null=True, blank=True, related_name="+"
    )
    epoch = models.PositiveIntegerField()
    check_id = models.CharField(max_length=20)
    gate_id = models.CharField(max_length=20)
    chip = models.CharField(max_length=30, choices=Chip)
    limit_amps = models.FloatField(null=True)
    note = models.ForeignKey(
        "records.Note", models.PROTECT, null=True, related_name="+"
    )
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.gate_id} for {self.check_id}"


class Finding(models.Model):
    """A suspect confirmed: the part, the way it failed, what proved it."""

    class Cause(models.TextChoices):
        PART = "part", _("a part")
        NOT_FOUND = "not_found", _("not found")

    board = models.ForeignKey(Board, models.PROTECT, related_name="findings")
    ticket = models.ForeignKey(
        Ticket, models.PROTECT, null=True, blank=True, related_name="findings"
    )
    epoch = models.PositiveIntegerField()
    cause = models.CharField(max_length=20, choices=Cause, default=Cause.PART)
    part_id = models.CharField(max_length=40, blank=True)
    mode_id = models.CharField(max_length=40, blank=True)
    place = models.CharField(max_length=80, blank=True)
    is_proven = models.BooleanField(default=False)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["by", "at"], name="finding_of_person")]
        constraints = [
            models.CheckConstraint(
                condition=~Q(cause="part") | (~Q(part_id="") & ~Q(mode_id="")),
                name="a_cause_names_part_and_failure",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.part_id} {self.mode_id}".strip() or self.cause


class KeptGood(models.Model):
    """A reading taken before a repair that the fault can't have touched, kept as good.

    Its board works now: what was read there is what this model reads. Append-only;
    it stops counting by itself when the board is later found faulty there.
    """

    reading = models.OneToOneField(Reading, models.PROTECT, related_name="kept_good")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return str(self.reading)
