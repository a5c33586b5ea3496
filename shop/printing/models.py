"""Printers of stations, and papers that wait for a printer of the server."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.people.models import Shop, Station


class Paper(models.TextChoices):
    """What lies in the printer."""

    SLIP = "slip", _("Job slip, invoice: A4 or Letter")
    TAG = "tag", _("Bag tag, shelf label: 62 mm roll")
    RECEIPT = "receipt", _("Receipt: 80 mm roll")


class StationPrinter(models.Model):
    """Where one kind of paper comes out; without a row the browser asks."""

    station = models.ForeignKey(Station, models.PROTECT, related_name="printers")
    paper = models.CharField(max_length=10, choices=Paper)
    printer = models.CharField(max_length=127)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["station", "paper"], name="a_station_has_one_printer_a_paper"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.station}: {self.paper} on {self.printer}"


class PrintJob(models.Model):
    """A paper for a printer of the server. Where it stands is said by moments.

    The paper itself is made when its turn comes, so that nothing personal waits
    here: ``what`` names the maker, ``subject_id`` and ``part`` the row it is of.
    """

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="print_jobs")
    what = models.CharField(max_length=20)
    subject_id = models.BigIntegerField()
    part = models.PositiveSmallIntegerField(default=0)
    ticket_id = models.BigIntegerField(null=True, blank=True, db_index=True)
    printer = models.CharField(max_length=127)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+"
    )
    asked_at = models.DateTimeField(default=timezone.now)
    next_try_at = models.DateTimeField(default=timezone.now)
    tries = models.PositiveIntegerField(default=0)
    last_error = models.CharField(max_length=200, blank=True)
    request = models.CharField(max_length=160, blank=True)
    handed_at = models.DateTimeField(null=True, blank=True)
    printed_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["id"]
        indexes = [
            models.Index(
                fields=["next_try_at"],
                name="paper_to_print",
                condition=Q(printed_at=None, withdrawn_at=None),
            )
        ]

    def __str__(self) -> str:
        return f"{self.what} {self.subject_id} on {self.printer}"
