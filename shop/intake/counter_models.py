"""What the counter keeps beside a ticket: an intake not sent yet, a signature."""

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.people.models import Person, Shop, Station
from shop.records.sealed import SealedField


class IntakeDraft(models.Model):
    """What stands in an intake that was not sent yet, sealed: it names a customer.

    Emptied when it is taken in or thrown away, gone when it is a day old: what a page
    saves a moment too late finds its end here.
    """

    shop = models.ForeignKey(Shop, models.CASCADE, related_name="+")
    key = models.UUIDField(unique=True)
    person = models.ForeignKey(Person, models.CASCADE, related_name="+")
    station = models.ForeignKey(Station, models.SET_NULL, null=True, related_name="+")
    sealed = SealedField(bound_to="key")
    saved_at = models.DateTimeField(default=timezone.now)
    ended_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return str(self.key)


class Signed(models.TextChoices):
    """What a customer signs."""

    SLIP = "slip", _("job slip")
    HANDOVER = "handover", _("handover")


class Signature(models.Model):
    """The customer signed on the screen: the strokes lie sealed. On paper none are.

    Several machines that came together are signed for once, on their first ticket.
    """

    ticket = models.ForeignKey(
        "intake.Ticket", models.PROTECT, related_name="signatures"
    )
    about = models.CharField(max_length=20, choices=Signed, default=Signed.SLIP)
    sealed = SealedField(bound_to="ticket_id")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["ticket", "about"], name="a_paper_is_signed_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.ticket}: {self.at:%Y-%m-%d}"
