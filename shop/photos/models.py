"""Photos, the links that phones send them by, and how long a shop keeps them.

A photo's two files lie in the default storage under its random name. Boards are known
by number only: they live in a later room.
"""

from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.intake.models import Ticket
from shop.people.models import Person, Shop, Station
from shop.photos.limits import KEPT_DAYS
from shop.records.models import Note


class Side(models.TextChoices):
    """What a photo shows."""

    INTAKE = "intake", _("as it came in")
    DAMAGE = "damage", _("damage")
    BOARD_TOP = "board_top", _("board, top")
    BOARD_BOTTOM = "board_bottom", _("board, bottom")
    BEFORE = "before", _("before the repair")
    AFTER = "after", _("after the repair")
    MICROSCOPE = "microscope", _("under the microscope")


class Link(models.Model):
    """A phone may add photos to one ticket, for a few minutes, and see none."""

    ticket = models.ForeignKey(Ticket, models.PROTECT, related_name="photo_links")
    token_hash = models.CharField(max_length=64, unique=True)
    made_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    made_at = models.DateTimeField(default=timezone.now)
    until = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.ticket} until {self.until:%H:%M}"


class Photo(models.Model):
    """A photo, or what is left to know of one that was erased."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="photos")
    ticket = models.ForeignKey(
        Ticket, models.PROTECT, null=True, blank=True, related_name="photos"
    )
    board_id = models.BigIntegerField(null=True, blank=True, db_index=True)
    side = models.CharField(_("shows"), max_length=20, choices=Side)
    name = models.CharField(max_length=40, unique=True)
    width = models.PositiveIntegerField()
    height = models.PositiveIntegerField()
    bytes = models.PositiveIntegerField()
    sha256 = models.CharField(max_length=64)
    sent_id = models.CharField(max_length=64)
    taken_at = models.DateTimeField(null=True, blank=True)
    received_at = models.DateTimeField(default=timezone.now)
    by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    link = models.ForeignKey(
        Link, models.PROTECT, null=True, blank=True, related_name="photos"
    )
    station = models.ForeignKey(
        Station, models.PROTECT, null=True, blank=True, related_name="+"
    )
    note = models.ForeignKey(Note, models.PROTECT, null=True, related_name="+")
    erased_at = models.DateTimeField(null=True, blank=True)
    files_gone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["id"]
        indexes = [models.Index(fields=["by", "received_at"], name="photo_of_person")]
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "sent_id"], name="a_photo_is_kept_once"
            ),
            models.CheckConstraint(
                condition=Q(ticket__isnull=False) | Q(board_id__isnull=False),
                name="a_photo_is_of_something",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_side_display()} {self.received_at:%Y-%m-%d %H:%M}"

    @property
    def full_file(self) -> str:
        return f"photos/{self.name[:2]}/{self.name}.jpg"

    @property
    def small_file(self) -> str:
        return f"photos/{self.name[:2]}/{self.name}.small.jpg"

    @property
    def small_size(self) -> tuple[int, int]:
        """Of the small picture, roughly: what a page leaves room for."""
        longest = max(self.width, self.height, 1)
        return round(160 * self.width / longest), round(160 * self.height / longest)


class Keeping(models.Model):
    """For how many days after the handover a shop keeps photos."""

    shop = models.OneToOneField(Shop, models.PROTECT, related_name="photo_keeping")
    days = models.PositiveIntegerField(default=KEPT_DAYS)

    def __str__(self) -> str:
        return f"{self.shop}: {self.days} days"
