"""What opens a customer's machine: none, or one that lies sealed until the handover."""

from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.people.models import Person
from shop.records.sealed import SealedField


class PasscodeKind(models.TextChoices):
    NONE = "none", _("none needed")
    CUSTOMER = "customer", _("the customer types it in")
    PIN = "pin", _("PIN")
    PASSWORD = "password", _("password")
    PATTERN = "pattern", _("drawn pattern")


WITH_TEXT = {PasscodeKind.PIN, PasscodeKind.PASSWORD, PasscodeKind.PATTERN}


class ShownFor(models.TextChoices):
    """Why a passcode was looked at."""

    BOOT_TEST = "boot_test", _("to see it start with its own system")
    PROOF = "proof", _("to prove the repair")
    BACKUP = "backup", _("to copy the data, as agreed")
    FIRMWARE = "firmware", _("to reach the firmware’s settings")
    CUSTOMER_THERE = "customer_there", _("the customer asks what we have")


class Passcode(models.Model):
    """One answer a ticket. ``sealed`` is empty where nothing is kept, or any more."""

    ticket = models.OneToOneField(
        "intake.Ticket", models.PROTECT, related_name="passcode"
    )
    kind = models.CharField(_("passcode"), max_length=20, choices=PasscodeKind)
    sealed = SealedField(bound_to="ticket_id")
    kept_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    kept_at = models.DateTimeField(default=timezone.now)
    erased_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    def __str__(self) -> str:
        return f"{self.ticket}: {self.kind}"

    @property
    def is_kept(self) -> bool:
        """Whether there is something to show."""
        return bool(self.sealed)
