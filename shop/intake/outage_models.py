"""Blank slips that were printed ahead, each with a ticket number of its own."""

from django.db import models
from django.db.models import Q
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.people.models import Person, Shop


class OutagePack(models.Model):
    """Some blank slips on paper: who printed them and when."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="outage_packs")
    printed_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    printed_at = models.DateTimeField(default=timezone.now)

    def __str__(self) -> str:
        return f"{self.printed_at:%Y-%m-%d %H:%M}"

    def get_absolute_url(self) -> str:
        return reverse("intake:outage_pack", args=[self.pk])


class VoidReason(models.TextChoices):
    """Why a blank slip is used for no ticket."""

    SPOILT = "spoilt", _("spoilt while writing")
    LOST = "lost", _("lost")
    NOT_PRINTED = "not_printed", _("never came out of the printer")
    OUT_OF_DATE = "out_of_date", _("another pack was printed since")


class PaperSlip(models.Model):
    """One blank slip. Its number is a ticket's that is not there yet.

    It comes from the tickets' own series, so that no other ticket can have it.
    """

    pack = models.ForeignKey(OutagePack, models.PROTECT, related_name="slips")
    shop = models.ForeignKey(Shop, models.PROTECT, related_name="+")
    serial = models.PositiveBigIntegerField()
    number = models.CharField(max_length=20)
    ticket = models.OneToOneField(
        "intake.Ticket",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="paper_slip",
    )
    typed_at = models.DateTimeField(null=True, blank=True)
    typed_by = models.ForeignKey(
        Person, models.PROTECT, null=True, blank=True, related_name="+"
    )
    taken_by = models.ForeignKey(
        Person, models.PROTECT, null=True, blank=True, related_name="+"
    )
    void_reason = models.CharField(max_length=20, choices=VoidReason, blank=True)
    voided_at = models.DateTimeField(null=True, blank=True)
    voided_by = models.ForeignKey(
        Person, models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["serial"]
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "number"], name="a_paper_number_is_reserved_once"
            ),
            models.CheckConstraint(
                condition=Q(ticket=None) | Q(void_reason=""),
                name="what_was_typed_in_is_not_void",
            ),
            models.CheckConstraint(
                condition=Q(ticket=None, typed_at=None)
                | Q(ticket__isnull=False, typed_at__isnull=False),
                name="what_was_typed_in_says_when",
            ),
            models.CheckConstraint(
                condition=Q(void_reason="", voided_at=None)
                | (~Q(void_reason="") & Q(voided_at__isnull=False)),
                name="what_is_void_says_why_and_when",
            ),
        ]

    def __str__(self) -> str:
        return self.number

    def get_absolute_url(self) -> str:
        return reverse("intake:paper_slip", args=[self.number])

    @property
    def is_left(self) -> bool:
        """Blank still: no ticket, and not void."""
        return self.ticket_id is None and not self.void_reason
