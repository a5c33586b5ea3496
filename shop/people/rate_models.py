"""What hangs on one dated set of terms: rates by kind and person, fixed prices."""

from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _


class NoFixRule(models.TextChoices):
    """What is billed when the board can't be mended."""

    NOTHING = "nothing", _("nothing at all")
    FEE = "fee", _("the diagnosis fee alone")
    WORK = "work", _("the work, as far as it was agreed")


class LabourRate(models.Model):
    """What an hour costs the customer, where it is not the shop's usual rate.

    An empty ``kind`` is every kind of work, no ``person`` is everybody.
    """

    terms = models.ForeignKey(
        "people.Terms", models.PROTECT, related_name="labour_rates"
    )
    kind = models.CharField(max_length=20, blank=True)
    person = models.ForeignKey(
        "people.Person", models.PROTECT, null=True, blank=True, related_name="+"
    )
    rate_minor = models.BigIntegerField()

    class Meta:
        ordering = ["terms", "id"]
        constraints = [
            models.UniqueConstraint(
                fields=["terms", "kind", "person"], name="one_rate_for_kind_and_person"
            ),
            models.UniqueConstraint(
                fields=["terms", "kind"],
                condition=Q(person=None),
                name="one_rate_for_a_kind",
            ),
            models.CheckConstraint(
                condition=Q(rate_minor__gte=0), name="a_labour_rate_is_not_negative"
            ),
            models.CheckConstraint(
                condition=~Q(kind="", person=None),
                name="a_labour_rate_is_of_a_kind_or_person",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind or 'all work'}: {self.rate_minor}"


class FixedJob(models.Model):
    """A job with one price, whatever it takes; its time is logged all the same."""

    terms = models.ForeignKey("people.Terms", models.PROTECT, related_name="fixed_jobs")
    name = models.CharField(max_length=120)
    price_minor = models.BigIntegerField()
    minutes = models.PositiveIntegerField()

    class Meta:
        ordering = ["terms", "name"]
        constraints = [
            models.UniqueConstraint(
                fields=["terms", "name"], name="a_fixed_job_is_named_once"
            ),
            models.CheckConstraint(
                condition=Q(price_minor__gte=0), name="a_fixed_price_is_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return self.name
