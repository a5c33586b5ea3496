"""The shop, its people, their roles, and the terms that it works by."""

from collections.abc import Iterator
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models
from django.db.models import Q
from django.utils import timezone
from django.utils.functional import cached_property
from django.utils.translation import gettext_lazy as _

from shop.people.house import (
    ClosedDay,
    Logo,
    OpeningHours,
    ShopText,
    TextKind,
    TextsRead,
    Weekday,
)
from shop.people.office_models import OfficeLimits
from shop.people.rate_models import FixedJob, LabourRate, NoFixRule
from shop.people.zone_models import ZoneChange

__all__ = [
    "WORK_ROLES",
    "ClosedDay",
    "FeeRule",
    "FixedJob",
    "LabourRate",
    "Logo",
    "MarkupTier",
    "Membership",
    "NoFixRule",
    "OfficeLimits",
    "OpeningHours",
    "Person",
    "PersonManager",
    "Role",
    "Shop",
    "ShopText",
    "Station",
    "Terms",
    "TextKind",
    "TextsRead",
    "Untaxed",
    "Weekday",
    "ZoneChange",
]


class PersonManager(BaseUserManager["Person"]):
    def create_user(self, username: str, password: str, *, name: str) -> "Person":
        person = self.model(username=username.lower(), name=name)
        person.set_password(password)
        person.save()
        return person


class Person(AbstractBaseUser):
    """Somebody who signs in. What they may do is in their memberships."""

    username = models.CharField(_("sign-in name"), max_length=150, unique=True)
    name = models.CharField(_("name"), max_length=200)
    email = models.EmailField(_("e-mail"), blank=True)
    language = models.CharField(max_length=10, default="en")
    hides_suspects = models.BooleanField(default=False)
    is_active = models.BooleanField(default=True)
    joined_at = models.DateTimeField(default=timezone.now)
    must_change_password = models.BooleanField(default=False)
    # Raised by one, it ends every session of the person at the next request.
    session_epoch = models.PositiveIntegerField(default=0)

    USERNAME_FIELD = "username"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS = ["name"]

    objects = PersonManager()

    def __str__(self) -> str:
        return self.name

    def get_session_auth_hash(self) -> str:
        return f"{self.session_epoch}:{super().get_session_auth_hash()}"

    def get_session_auth_fallback_hash(self) -> Iterator[str]:
        for before in super().get_session_auth_fallback_hash():
            yield f"{self.session_epoch}:{before}"


class Shop(models.Model):
    """A shop. Everything that belongs to one points here."""

    class PaperSize(models.TextChoices):
        A4 = "A4", "A4"
        LETTER = "Letter", _("Letter")

    name = models.CharField(max_length=200)
    street = models.CharField(max_length=200, blank=True)
    town = models.CharField(max_length=200, blank=True)
    country = models.CharField(max_length=2)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    tax_id = models.CharField(max_length=40, blank=True)
    account = models.CharField(max_length=60, blank=True)
    currency = models.CharField(max_length=3)
    time_zone = models.CharField(max_length=60, default="UTC")
    paper_size = models.CharField(
        max_length=10, choices=PaperSize, default=PaperSize.A4
    )
    languages = models.CharField(max_length=80, default="en")  # of customers, by spaces
    rolls = models.CharField(max_length=40, blank=True)  # tag_62 and receipt_80
    backup_place = models.CharField(max_length=300, blank=True)
    version = models.PositiveIntegerField(default=1)

    def __str__(self) -> str:
        return self.name

    @property
    def zone(self) -> ZoneInfo:
        return ZoneInfo(self.time_zone)

    def zone_at(self, at: datetime) -> ZoneInfo:
        """The zone that the shop kept its days by at a moment."""
        later = (change.before for change in self._zone_changes if change.at > at)
        return ZoneInfo(next(later, self.time_zone))

    def day_begins(self, day: date) -> datetime:
        """The first moment of a day, by the zone of that time."""
        begins = datetime.combine(day, time(), self.zone)
        return datetime.combine(day, time(), self.zone_at(begins))

    @cached_property
    def _zone_changes(self) -> "list[ZoneChange]":
        return list(self.zone_changes.order_by("at", "id"))

    @property
    def language_codes(self) -> list[str]:
        """The languages of its customers, the usual one first."""
        return self.languages.split() or ["en"]


class Role(models.TextChoices):
    FRONT_DESK = "front_desk", _("front desk")
    TECHNICIAN = "technician", _("technician")
    OWNER = "owner", _("owner")
    AUDITOR = "auditor", _("auditor")


# Who works here. An auditor looks at the books until a day, and does nothing.
WORK_ROLES = (Role.FRONT_DESK, Role.TECHNICIAN, Role.OWNER)


class Membership(models.Model):
    """One role of one person in one shop. Roles add up."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="memberships")
    person = models.ForeignKey(Person, models.PROTECT, related_name="memberships")
    role = models.CharField(max_length=20, choices=Role)
    since = models.DateTimeField(default=timezone.now)
    ends_on = models.DateField(null=True, blank=True)  # its last day

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=~Q(role="auditor") | Q(ends_on__isnull=False),
                name="an_auditor_has_a_last_day",
            ),
            models.UniqueConstraint(
                fields=["shop", "person", "role"], name="a_role_is_held_once"
            ),
            models.CheckConstraint(
                condition=Q(role__in=Role.values), name="the_role_is_known"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.person}: {self.get_role_display()}"

    def is_held(self, now: datetime) -> bool:
        """Whether its last day, in the shop's calendar, has not passed."""
        today = now.astimezone(self.shop.zone).date()
        return self.ends_on is None or today <= self.ends_on


class Station(models.Model):
    """A computer or tablet of the shop that is known here by its cookie."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="stations")
    name = models.CharField(max_length=60)
    is_bench = models.BooleanField(default=False)
    token_hash = models.CharField(max_length=64, unique=True)
    enrolled_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    enrolled_at = models.DateTimeField(default=timezone.now)
    ended_at = models.DateTimeField(null=True, blank=True)
    seen_at = models.DateTimeField(null=True, blank=True)
    wrong_tries = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["shop", "name", "id"]

    def __str__(self) -> str:
        return self.name


class FeeRule(models.TextChoices):
    """What becomes of the diagnosis fee; frozen on the ticket at intake."""

    KEPT = "kept", _("kept, and billed as a line")
    CREDITED = "credited", _("taken off an accepted repair")


class Untaxed(models.TextChoices):
    """What a rate of nothing means (EN 16931, categories of VAT)."""

    EXEMPT = "E", _("exempt")
    ZERO = "Z", _("zero-rated")
    OUTSIDE = "O", _("outside of tax")


class Terms(models.Model):
    """What the shop charges and promises, from a date on. Never edited."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="terms")
    valid_from = models.DateTimeField(default=timezone.now)
    hourly_rate_minor = models.BigIntegerField()
    # What an hour of work costs the shop itself; empty until its owner says so.
    cost_rate_minor = models.BigIntegerField(null=True, blank=True)
    increment_minutes = models.PositiveIntegerField(default=15)
    diagnosis_fee_minor = models.BigIntegerField()
    diagnosis_minutes = models.PositiveIntegerField(default=45)
    fee_rule = models.CharField(max_length=10, choices=FeeRule, default=FeeRule.KEPT)
    consumables_minor = models.BigIntegerField(default=0)
    # The least that the labour of a repair is billed at.
    minimum_minor = models.BigIntegerField(default=0)
    # On top of the labour, where a repair is asked for before its turn.
    express_percent = models.PositiveIntegerField(default=0)
    no_fix_rule = models.CharField(
        max_length=10, choices=NoFixRule, default=NoFixRule.FEE
    )
    tax_basis_points = models.PositiveIntegerField()
    tax_name = models.CharField(max_length=20, default="VAT")
    # What is billed without tax is that by this category, and for this reason.
    untaxed_as = models.CharField(max_length=2, choices=Untaxed, default=Untaxed.EXEMPT)
    untaxed_reason = models.CharField(max_length=200, blank=True)
    prices_with_tax = models.BooleanField(default=False)
    first_word_days = models.PositiveIntegerField(default=1)
    # Days after which a customer is written to again.
    quote_reminder_days = models.PositiveIntegerField(default=3)
    unclaimed_first_days = models.PositiveIntegerField(default=7)
    unclaimed_second_days = models.PositiveIntegerField(default=30)
    unclaimed_last_days = models.PositiveIntegerField(default=60)
    cap_percent = models.PositiveIntegerField(default=10)
    quote_valid_days = models.PositiveIntegerField(default=14)
    payment_days = models.PositiveIntegerField(default=14)
    warranty_days = models.PositiveIntegerField(default=90)
    liquid_warranty_days = models.PositiveIntegerField(default=30)

    class Meta:
        ordering = ["shop", "valid_from"]
        verbose_name_plural = "terms"
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "valid_from"], name="one_set_of_terms_at_a_time"
            ),
            models.CheckConstraint(
                condition=Q(tax_basis_points__lte=10000),
                name="tax_is_at_most_the_whole_price",
            ),
            models.CheckConstraint(
                condition=Q(hourly_rate_minor__gte=0, diagnosis_fee_minor__gte=0),
                name="rates_are_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(consumables_minor__gte=0, minimum_minor__gte=0),
                name="flat_charges_are_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.shop} from {self.valid_from:%Y-%m-%d}"


class MarkupTier(models.Model):
    """What is put on a part's cost: a share, but at least a sum."""

    terms = models.ForeignKey(Terms, models.PROTECT, related_name="markup_tiers")
    cost_below_minor = models.BigIntegerField(null=True, blank=True)
    percent = models.PositiveIntegerField()
    minimum_minor = models.BigIntegerField(default=0)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["terms", "cost_below_minor"], name="one_tier_for_a_cost"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.percent} %"


class Pin(models.Model):
    """A person's short number for the bench tablets. Told to nobody, kept as a hash."""

    person = models.OneToOneField(Person, models.PROTECT, related_name="pin")
    keyed_hash = models.CharField(max_length=200)
    set_at = models.DateTimeField(default=timezone.now)
    wrong_tries = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"PIN of {self.person}"


class Badge(models.Model):
    """A card that signs its holder in at a bench tablet."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="badges")
    person = models.ForeignKey(Person, models.PROTECT, related_name="badges")
    token_hash = models.CharField(max_length=64, unique=True)
    made_by = models.ForeignKey(Person, models.PROTECT, related_name="+")
    made_at = models.DateTimeField(default=timezone.now)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["person", "id"]

    def __str__(self) -> str:
        return f"badge {self.pk} of {self.person}"


class LateSwitch(models.Model):
    """A switch at a bench tablet while the network was away, checked afterwards.

    What was taken between it and the next one is that person's, and not confirmed if
    the PIN proved wrong.
    """

    key = models.CharField(max_length=64, primary_key=True)
    station = models.ForeignKey(Station, models.PROTECT, related_name="late_switches")
    person = models.ForeignKey(Person, models.PROTECT, related_name="+")
    switched_at = models.DateTimeField()
    received_at = models.DateTimeField(default=timezone.now)
    is_confirmed = models.BooleanField()

    class Meta:
        ordering = ["station", "switched_at", "received_at"]
        verbose_name_plural = "late switches"

    def __str__(self) -> str:
        return f"{self.person} at {self.station}, {self.switched_at:%Y-%m-%d %H:%M}"
