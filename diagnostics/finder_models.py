"""A board model's pictures, the marks on them, and what technicians said of circuits.

A mark's place is in parts of its picture's width and height. A word on a circuit is
append-only; a mark that was taken away stays as a row. ``diagnostics.models`` shows
these with the other rows.
"""

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from diagnostics.engine.landmarks_figures import Circuit


class PictureSide(models.TextChoices):
    TOP = "top", _("top")
    BOTTOM = "bottom", _("bottom")


class BoardOutline(models.TextChoices):
    """What is drawn where there is no photo."""

    WIDE = "wide", _("wide, 3 : 2")
    SQUARE = "square", _("square")
    NOTCH_LEFT = "notch_left", _("L, notch at the left foot")
    NOTCH_RIGHT = "notch_right", _("L, notch at the right foot")


class BoardPicture(models.Model):
    """A photo or an outline of one side of a board model; the newest is in use.

    It belongs to the model and not to a ticket: nothing of a customer's is on it.
    """

    board_model = models.ForeignKey(
        "diagnostics.BoardModel", models.PROTECT, related_name="pictures"
    )
    side = models.CharField(max_length=10, choices=PictureSide)
    outline = models.CharField(max_length=20, choices=BoardOutline, blank=True)
    name = models.CharField(max_length=40, blank=True)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(outline="") ^ Q(name=""),
                name="a_picture_is_a_photo_or_an_outline",
            ),
            models.CheckConstraint(
                condition=Q(width__gt=0) & Q(height__gt=0),
                name="a_picture_has_a_size",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.board_model} {self.side}"

    @property
    def file(self) -> str:
        return f"pictures/{self.name[:2]}/{self.name}.jpg"


class BoardMark(models.Model):
    """An inductor, a landmark, a corner of the board or a rail's point on a picture."""

    class Kind(models.TextChoices):
        INDUCTOR = "inductor", _("inductor")
        JACK = "jack", _("adapter jack")
        PACK = "pack", _("pack connector")
        USB_C = "usb_c", _("USB-C port")
        CONTROLLER = "controller", _("embedded controller or Super I/O")
        MEMORY = "memory", _("memory sockets or chips")
        CHIPSET = "chipset", _("chipset")
        CPU = "cpu", _("CPU")
        GRAPHICS = "graphics", _("graphics chip")
        GROUND = "ground", _("ground: screw ring or shield")
        COIN_CELL = "coin_cell", _("coin cell")
        CORNER = "corner", _("corner of the board")
        POINT = "point", _("point of a rail")

    class Size(models.IntegerChoices):
        ONE = 1, _("under 4 mm")
        TWO = 2, _("4 to 7 mm")
        THREE = 3, _("7 to 10 mm")
        FOUR = 4, _("over 10 mm")

    class Look(models.TextChoices):
        A = "a", _("a, grey")
        B = "b", _("b, black")
        C = "c", _("c, open coil")
        D = "d", _("d, another")

    uuid = models.UUIDField(unique=True, default=uuid.uuid4)
    picture = models.ForeignKey(BoardPicture, models.PROTECT, related_name="marks")
    kind = models.CharField(max_length=12, choices=Kind)
    x = models.FloatField()
    y = models.FloatField()
    size = models.PositiveSmallIntegerField(choices=Size, null=True, blank=True)
    look = models.CharField(max_length=1, choices=Look, blank=True)
    marking = models.CharField(max_length=8, blank=True)
    rail_id = models.CharField(max_length=40, blank=True)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)
    gone_at = models.DateTimeField(null=True, blank=True)
    gone_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(x__gte=0, x__lte=1, y__gte=0, y__lte=1),
                name="a_mark_lies_in_its_picture",
            ),
            models.CheckConstraint(
                condition=~Q(kind="inductor") | (Q(size__isnull=False) & ~Q(look="")),
                name="an_inductor_has_size_and_look",
            ),
            models.CheckConstraint(
                condition=~Q(kind="point") | ~Q(rail_id=""),
                name="a_point_names_its_rail",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.x:.2f} {self.y:.2f}"


class CircuitWord(models.Model):
    """A technician's word on what a group of inductors serves. Append-only.

    ``marks`` are the ids of the group's inductors then. ``settles`` is the newest
    word that this one decides over; other people's newer or undecided words stand
    beside it.
    """

    board_model = models.ForeignKey(
        "diagnostics.BoardModel", models.PROTECT, related_name="circuit_words"
    )
    marks = models.JSONField()
    circuit = models.CharField(
        max_length=12, choices=[(c.value, c.value) for c in Circuit]
    )
    rail_id = models.CharField(max_length=40, blank=True)
    settles = models.PositiveBigIntegerField(default=0)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.circuit} {self.rail_id}".strip()
