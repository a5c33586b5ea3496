"""What the first day leaves behind: ticked steps, files that were brought in."""

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.people.models import Shop


class StepDone(models.Model):
    """A step of the first day that the owner ticked: the program can't see it."""

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="steps_done")
    step = models.CharField(max_length=20)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        verbose_name_plural = "steps done"
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "step"], name="a_step_is_ticked_once"
            )
        ]

    def __str__(self) -> str:
        return self.step


class ImportRun(models.Model):
    """A file that was uploaded: how it is read, what it made, whether it was undone."""

    class What(models.TextChoices):
        CUSTOMERS = "customers", _("customers")
        STOCK = "stock", _("stock")
        TICKETS = "tickets", _("open tickets")

    shop = models.ForeignKey(Shop, models.PROTECT, related_name="imports")
    what = models.CharField(max_length=20, choices=What)
    file_name = models.CharField(max_length=200)
    body = models.BinaryField(default=b"")  # emptied when it was brought in
    digest = models.CharField(max_length=64)
    encoding = models.CharField(max_length=20)
    separator = models.CharField(max_length=1)
    columns = models.JSONField(default=dict)  # field -> index of its column
    rows = models.PositiveIntegerField(default=0)
    checked_rows = models.PositiveIntegerField(default=0)
    made = models.JSONField(default=list)  # pairs: id of the line, id of what it made
    by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    uploaded_at = models.DateTimeField(default=timezone.now)
    done_at = models.DateTimeField(null=True, blank=True)
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return self.file_name

    @property
    def is_checked(self) -> bool:
        return self.checked_rows >= self.rows > 0


class ImportRow(models.Model):
    """One row of the file: what it says, what is wrong with it, what it made."""

    class State(models.TextChoices):
        GOOD = "good", _("good")
        BAD = "bad", _("not brought in")
        TWIN = "twin", _("is here already")
        MADE = "made", _("brought in")
        UNDONE = "undone", _("taken back")
        KEPT = "kept", _("kept: something was built on it")

    run = models.ForeignKey(ImportRun, models.CASCADE, related_name="lines")
    line = models.PositiveIntegerField()
    state = models.CharField(max_length=10, choices=State)
    values = models.JSONField(default=dict)  # emptied when it was brought in
    problem = models.CharField(max_length=300, blank=True)
    column = models.CharField(max_length=80, blank=True)
    key = models.CharField(max_length=120, blank=True)  # by which twins are found
    key_2 = models.CharField(max_length=254, blank=True)

    class Meta:
        ordering = ["line"]
        constraints = [
            models.UniqueConstraint(
                fields=["run", "line"], name="a_line_of_a_file_is_kept_once"
            )
        ]
        indexes = [
            models.Index(fields=["run", "state"], name="line_by_state"),
            models.Index(fields=["run", "key"], name="line_by_key"),
            models.Index(fields=["run", "key_2"], name="line_by_second_key"),
        ]

    def __str__(self) -> str:
        return f"{self.line}: {self.state}"
