"""Customers, devices, tickets: rows and constraints, no logic that spans rows."""

from django.db import models
from django.db.models import Q
from django.db.models.functions import Lower
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.intake.account_models import (  # noqa: F401  Django looks here
    AccountPrices,
    AccountTerms,
)
from shop.intake.counter_models import IntakeDraft, Signature  # noqa: F401  found here
from shop.intake.outage_models import PaperSlip  # noqa: F401  and here
from shop.intake.passcode_models import Passcode  # noqa: F401  Django looks here
from shop.intake.slip_models import SlipLink  # noqa: F401  and here
from shop.money import Amount, Money
from shop.people.models import FeeRule, Shop


class Channel(models.TextChoices):
    PHONE = "phone", _("phone")
    TEXT = "text", _("text message")
    EMAIL = "email", _("e-mail")
    NONE = "none", _("wants no messages")


TELLING = [(c.value, c.label) for c in Channel if c != Channel.NONE]


class Taxed(models.TextChoices):
    """How a customer's invoices are taxed, where not as usual."""

    REVERSE_CHARGE = "AE", _("none: reverse charge, the customer owes it")


class Customer(models.Model):
    """Who owns the device and pays."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="customers")
    name = models.CharField(_("name"), max_length=200)
    phone_typed = models.CharField(_("phone"), max_length=200, blank=True)
    phone_e164 = models.CharField(max_length=20, blank=True)
    email = models.EmailField(_("e-mail"), blank=True)
    address = models.TextField(_("address"), blank=True, max_length=500)
    channel = models.CharField(
        _("answers best by"), max_length=10, choices=Channel, default=Channel.PHONE
    )
    language = models.CharField(max_length=10, default="en")
    tax_id = models.CharField(_("tax id"), max_length=40, blank=True)
    country = models.CharField(max_length=2, blank=True)  # empty: the shop's own
    # The category of tax on invoices (EN 16931); empty: as the shop's rates say.
    taxed = models.CharField(max_length=2, choices=Taxed, blank=True)
    is_account = models.BooleanField(default=False)
    since = models.DateTimeField(default=timezone.now)
    # The same person kept twice: this row is the other, and kept to be undone.
    joined_to = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="joined"
    )
    version = models.PositiveIntegerField(default=1)
    erased_at = models.DateTimeField(null=True, blank=True)  # nobody is named any more

    class Meta:
        indexes = [
            models.Index(fields=["shop", "name"], name="customer_by_name"),
            models.Index(fields=["shop", "phone_e164"], name="customer_by_phone"),
            models.Index(
                fields=["shop", "name"],
                name="customer_with_account",
                condition=models.Q(is_account=True),
            ),
        ]

    def __str__(self) -> str:
        return self.name


class DeviceKind(models.TextChoices):
    LAPTOP = "laptop", _("laptop")
    DESKTOP = "desktop", _("desktop")
    BARE_BOARD = "bare_board", _("bare board")
    OTHER = "other", _("other")


class Device(models.Model):
    """The machine as its owner knows it."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="devices")
    customer = models.ForeignKey(Customer, models.PROTECT, related_name="devices")
    kind = models.CharField(max_length=20, choices=DeviceKind)
    model = models.CharField(_("model"), max_length=120)
    serial = models.CharField(_("serial number"), max_length=80, blank=True)
    board_number_seen = models.CharField(max_length=80, blank=True)
    contact = models.CharField(max_length=200, blank=True)  # whom to ask about it
    year_made = models.PositiveSmallIntegerField(null=True, blank=True)  # or bought
    version = models.PositiveIntegerField(default=1)

    def __str__(self) -> str:
        return self.model


class IntakeKind(models.TextChoices):
    COUNTER = "counter", _("at the counter")
    QUICK = "quick", _("quick, to be finished")
    BOARD_ONLY = "board_only", _("board only")
    PARCEL = "parcel", _("parcel")
    SEVERAL = "several", _("several machines")
    WARRANTY = "warranty", _("warranty check")


class Goal(models.TextChoices):
    MACHINE_WORKS = "machine_works", _("machine works")
    DATA_ONLY = "data_only", _("data only")
    DATA_FIRST = "data_first", _("data first, then machine")


class SafeBy(models.TextChoices):
    """How the customer's data came to be safe."""

    COPIED = "copied", _("copied here, and the copy opened")
    THEIR_COPY = "their_copy", _("the customer has a copy and says so")
    DRIVE_APART = "drive_apart", _("drive taken out and put aside")
    OUTSIDE = "outside", _("saved by an outside specialist")


class Answer(models.TextChoices):
    """An answer at the counter; what was not asked is not recorded."""

    YES = "yes", _("yes")
    NO = "no", _("no")
    UNSURE = "unsure", _("unsure")
    NOT_RECORDED = "not_recorded", _("not recorded")


def answer_field() -> "models.CharField[str, str]":
    return models.CharField(max_length=20, choices=Answer, default=Answer.NOT_RECORDED)


class Triage(models.TextChoices):
    """What makes a machine one to be put apart or dried before anything else."""

    SWOLLEN = "swollen", _("swollen")
    HOT = "hot", _("hot")
    SMELLS = "smells", _("smells")
    WET = "wet", _("wet")
    ISOLATED = "isolated", _("put apart already")


class Ticket(models.Model):
    """One job on one device. What happens to it is in the events."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="tickets")
    serial = models.PositiveBigIntegerField()
    number = models.CharField(max_length=20)
    customer = models.ForeignKey(Customer, models.PROTECT, related_name="tickets")
    device = models.ForeignKey(Device, models.PROTECT, related_name="tickets")
    intake_kind = models.CharField(
        max_length=20, choices=IntakeKind, default=IntakeKind.COUNTER
    )
    goal = models.CharField(max_length=20, choices=Goal, default=Goal.MACHINE_WORKS)
    opened_at = models.DateTimeField(default=timezone.now)
    returns_to = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="returns"
    )
    came_with = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="came_too"
    )
    their_reference = models.CharField(max_length=80, blank=True)
    order_number = models.CharField(max_length=80, blank=True)  # the account's own
    old_number = models.CharField(max_length=40, blank=True)  # of before this program
    tracking = models.CharField(max_length=60, blank=True)

    liquid = answer_field()
    dropped = answer_field()
    hot_or_swollen = answer_field()
    opened_before = answer_field()
    triage = models.CharField(max_length=60, blank=True)  # codes, a blank between
    fee_agreed = answer_field()
    reassembly = answer_field()  # put together again after a no to the quote

    currency = models.CharField(max_length=3)
    diagnosis_fee_minor = models.BigIntegerField()
    diagnosis_minutes = models.PositiveIntegerField()
    fee_rule = models.CharField(max_length=10, choices=FeeRule)
    pre_approved_minor = models.BigIntegerField(null=True, blank=True)
    reassembly_minor = models.BigIntegerField(null=True, blank=True)
    # On top of the labour, where it was asked for before its turn; 0: it was not.
    express_percent = models.PositiveIntegerField(default=0)
    version = models.PositiveIntegerField(default=1)
    erased_at = models.DateTimeField(null=True, blank=True)  # its words, not its job

    diagnosis_fee = Amount()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "number"], name="a_ticket_number_is_given_once"
            ),
            models.CheckConstraint(
                condition=Q(diagnosis_fee_minor__gte=0)
                & (Q(pre_approved_minor=None) | Q(pre_approved_minor__gte=0)),
                name="agreed_amounts_are_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(reassembly_minor=None)
                | Q(reassembly="yes", reassembly_minor__gte=0),
                name="reassembly_has_a_price_if_agreed",
            ),
        ]
        indexes = [
            models.Index(fields=["shop", "-id"], name="ticket_newest"),
            models.Index(fields=["shop", "opened_at"], name="ticket_opened"),
            models.Index(
                fields=["shop", "old_number"],
                name="ticket_by_old_number",
                condition=~Q(old_number=""),
            ),
        ]

    def __str__(self) -> str:
        return self.number

    def get_absolute_url(self) -> str:
        return reverse("desk:ticket", args=[self.number])

    @property
    def pre_approved(self) -> Money | None:
        if self.pre_approved_minor is None:
            return None
        return Money.from_minor(self.pre_approved_minor, self.currency)

    @property
    def reassembly_price(self) -> Money | None:
        """What putting it together again costs; None unless it was agreed."""
        if self.reassembly_minor is None:
            return None
        return Money.from_minor(self.reassembly_minor, self.currency)

    @property
    def triage_said(self) -> list[str]:
        return [str(Triage(code).label) for code in self.triage.split()]

    @property
    def is_data_first(self) -> bool:
        return self.goal != Goal.MACHINE_WORKS

    @property
    def is_warranty(self) -> bool:
        return self.intake_kind == IntakeKind.WARRANTY


class ThingKind(models.TextChoices):
    MACHINE = "machine", _("machine")
    BOARD = "board", _("board")
    PACK = "pack", _("battery pack")
    DRIVE = "drive", _("drive")
    ADAPTER = "adapter", _("adapter")
    LEAD = "lead", _("mains lead")
    SCREWS = "screws", _("screws")
    BAG = "bag", _("bag")
    OTHER = "other", _("other")


class Thing(models.Model):
    """Something handed over with a ticket: it has a bag tag and comes back."""

    ticket = models.ForeignKey(Ticket, models.PROTECT, related_name="things")
    tag = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=20, choices=ThingKind)
    label = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["ticket", "tag"]
        constraints = [
            models.UniqueConstraint(
                fields=["ticket", "tag"], name="a_tag_is_used_once_a_ticket"
            ),
        ]

    def __str__(self) -> str:
        return self.label or str(self.get_kind_display())


class PlaceKind(models.TextChoices):
    SHELF = "shelf", _("shelf")
    DRAWER = "drawer", _("drawer")
    RACK = "rack", _("rack")
    HANDOVER = "handover", _("handover shelf")


class Place(models.Model):
    """Where things lie: its short name stands on a label, with a code to scan."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="places")
    name = models.CharField(_("name"), max_length=20)
    kind = models.CharField(max_length=20, choices=PlaceKind, default=PlaceKind.SHELF)
    made_at = models.DateTimeField(default=timezone.now)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                Lower("name"),
                "shop",
                condition=Q(ended_at=None),
                name="a_place_is_named_once_a_shop",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("intake:place", args=[self.pk])


class Purpose(models.TextChoices):
    BOOT_TEST = "boot_test", _("start the machine with its own system")
    OPEN_FILES = "open_files", _("look into files")
    BACKUP = "backup", _("copy the data")
    ERASE = "erase", _("erase the drive")


class Consent(models.Model):
    """Yes or no to one purpose, as asked at the counter."""

    ticket = models.ForeignKey(Ticket, models.PROTECT, related_name="consents")
    purpose = models.CharField(max_length=20, choices=Purpose)
    answer = models.CharField(max_length=20, choices=Answer)
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.purpose}: {self.answer}"


class ClosingKind(models.TextChoices):
    FIXED = "fixed", _("fixed")
    IMPROVED = "improved", _("improved, not proven")
    NO_FAULT_FOUND = "no_fault_found", _("no fault found")
    NOT_REPRODUCED = "not_reproduced", _("could not reproduce")
    DECLINED = "declined", _("declined")
    NO_FIX = "no_fix", _("no fix")
    DATA_HANDED_OVER = "data_handed_over", _("data handed over")


class NoFixReason(models.TextChoices):
    UNECONOMIC = "uneconomic", _("uneconomic")
    NO_PART = "no_part", _("no part to be had")
    CHIP_DEAD = "chip_dead", _("processor or graphics chip dead")
    TOO_WIDE = "too_wide", _("damage too wide")


class Outcome(models.Model):
    """How the bench's work on a ticket ended; the handover's turn begins."""

    ticket = models.OneToOneField(Ticket, models.PROTECT, related_name="outcome")
    kind = models.CharField(max_length=20, choices=ClosingKind)
    no_fix_reason = models.CharField(max_length=20, choices=NoFixReason, blank=True)
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(kind=ClosingKind.NO_FIX) | ~Q(no_fix_reason=""),
                name="no_fix_says_why",
            ),
        ]

    def __str__(self) -> str:
        return str(self.get_kind_display())


class HandoverWay(models.TextChoices):
    """Where the machine goes when the ticket ends."""

    COLLECTED = "collected", _("collected here")
    SENT = "sent", _("sent by parcel")
    RECYCLE = "recycle", _("left here to be recycled")
    SOLD = "sold", _("sold to us")
    LEFT = "left", _("left to us")


# The machine becomes the shop's: only with a signed paper, and a word on the drive.
STAYS_HERE = frozenset({HandoverWay.RECYCLE, HandoverWay.SOLD, HandoverWay.LEFT})


class DriveEnd(models.TextChoices):
    """What became of the customer's data in a machine that stays."""

    RETURNED = "returned", _("taken out and given back")
    NONE = "none", _("there was none in it")
    ERASED = "erased", _("to be erased here, as the customer wishes")


class Handover(models.Model):
    """The device went back to its owner, or stays with us: the ticket is closed.

    Also how a ticket ends that was brought in by mistake: ``is_undone``.
    """

    ticket = models.OneToOneField(Ticket, models.PROTECT, related_name="handover")
    at = models.DateTimeField(default=timezone.now)
    given_to = models.CharField(max_length=200)
    owing_reason = models.CharField(max_length=200, blank=True)
    is_undone = models.BooleanField(default=False)
    way = models.CharField(
        max_length=20, choices=HandoverWay, default=HandoverWay.COLLECTED
    )
    tracking = models.CharField(max_length=60, blank=True)
    drive = models.CharField(max_length=20, choices=DriveEnd, blank=True)
    price_minor = models.BigIntegerField(null=True, blank=True)
    missing = models.CharField(max_length=200, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(way__in=["recycle", "sold", "left"]) | ~Q(drive=""),
                name="what_stays_says_where_its_drive_is",
            ),
            models.CheckConstraint(
                condition=Q(price_minor=None) | Q(way="sold", price_minor__gte=0),
                name="only_what_is_sold_has_a_price",
            ),
        ]
        indexes = [models.Index(fields=["at", "ticket"], name="handover_of_day")]

    def __str__(self) -> str:
        return f"{self.ticket}: {self.at:%Y-%m-%d}"

    @property
    def price(self) -> Money | None:
        if self.price_minor is None:
            return None
        return Money.from_minor(self.price_minor, self.ticket.currency)
