"""What the whole house writes down: events, notes, keys, numbers, messages.

The leaf of the import map: it knows tickets, boards and people by number only.
"""

from django.conf import settings
from django.db import models
from django.utils import timezone


class Note(models.Model):
    """A person's free text. Events point here; erasure blanks the text."""

    shop_id = models.BigIntegerField(db_index=True)
    ticket_id = models.BigIntegerField(null=True, blank=True, db_index=True)
    kind = models.CharField(max_length=40)
    text = models.TextField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+"
    )
    at = models.DateTimeField(default=timezone.now)
    erased_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        indexes = [
            models.Index(fields=["ticket_id", "kind", "id"], name="note_of_ticket"),
            models.Index(fields=["by", "at"], name="note_of_person"),
        ]

    def __str__(self) -> str:
        return self.text


class Event(models.Model):
    """Something that happened. Never edited, never deleted, no free text.

    ``ids``, ``codes`` and ``amounts`` hold numbers, codes and minor units; what
    a person wrote is in the note.
    """

    shop_id = models.BigIntegerField()
    kind = models.CharField(max_length=40)
    ticket_id = models.BigIntegerField(null=True, blank=True)
    board_id = models.BigIntegerField(null=True, blank=True)
    reading_id = models.BigIntegerField(null=True, blank=True)
    person_id = models.BigIntegerField(null=True, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, null=True, related_name="+"
    )
    at = models.DateTimeField()
    recorded_at = models.DateTimeField(default=timezone.now)
    ids = models.JSONField(default=dict)
    codes = models.JSONField(default=dict)
    amounts = models.JSONField(default=dict)
    note = models.ForeignKey(Note, models.PROTECT, null=True, related_name="+")

    class Meta:
        ordering = ["id"]
        indexes = [
            models.Index(fields=["ticket_id", "id"], name="event_of_ticket"),
            models.Index(fields=["board_id", "id"], name="event_of_board"),
            models.Index(fields=["shop_id", "kind", "at"], name="event_of_kind"),
            models.Index(fields=["shop_id", "at", "id"], name="event_of_moment"),
            models.Index(fields=["shop_id", "by", "at", "id"], name="event_of_person"),
            models.Index(
                fields=["person_id", "kind", "at"],
                name="event_about_person",
                condition=models.Q(person_id__isnull=False),
            ),
            models.Index(
                fields=["reading_id"],
                name="event_of_reading",
                condition=models.Q(reading_id__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.at:%Y-%m-%d %H:%M}"


class KeptAnswer(models.Model):
    """An idempotency key and the answer that it was given."""

    key = models.CharField(max_length=64, primary_key=True)
    person_id = models.BigIntegerField(null=True)
    request_hash = models.CharField(max_length=64)
    status = models.PositiveSmallIntegerField(null=True)
    headers = models.JSONField(default=dict)
    body = models.TextField(default="")
    kept_at = models.DateTimeField(default=timezone.now, db_index=True)

    def __str__(self) -> str:
        return self.key


class NumberSeries(models.Model):
    """The next number of a series: tickets, invoices, credit notes."""

    shop_id = models.BigIntegerField()
    kind = models.CharField(max_length=40)
    next_number = models.BigIntegerField(default=1)

    class Meta:
        verbose_name_plural = "number series"
        constraints = [
            models.UniqueConstraint(
                fields=["shop_id", "kind"], name="one_series_of_a_kind"
            ),
            models.CheckConstraint(
                condition=models.Q(next_number__gte=1), name="numbers_are_positive"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind}: {self.next_number}"


class OutgoingMessage(models.Model):
    """A message to a customer, queued in the transaction that caused it.

    One with a ``kind`` is worded afterwards, by who registered for that
    (``messages.worded_by``); until then it has no text and nobody to go to.
    ``withheld`` is a code: why nothing is sent by itself, which is no failure.
    """

    shop_id = models.BigIntegerField(db_index=True)
    ticket_id = models.BigIntegerField(null=True, blank=True, db_index=True)
    # Whom it is to, where it is about no one ticket: an account.
    customer_id = models.BigIntegerField(null=True, blank=True, db_index=True)
    message_id = models.CharField(max_length=120, unique=True)
    channel = models.CharField(max_length=20)
    to = models.CharField(max_length=320)
    subject = models.CharField(max_length=200)
    text = models.TextField()
    queued_at = models.DateTimeField(default=timezone.now)
    next_try_at = models.DateTimeField(default=timezone.now)
    tries = models.PositiveIntegerField(default=0)
    sent_at = models.DateTimeField(null=True, blank=True)
    given_up_at = models.DateTimeField(null=True, blank=True)
    last_error = models.CharField(max_length=200, blank=True)
    # Set while a sender has it: found set, nobody knows whether it went out.
    begun_at = models.DateTimeField(null=True, blank=True)
    doubts = models.PositiveSmallIntegerField(default=0)
    sent_by = models.CharField(max_length=20, blank=True)
    kind = models.CharField(max_length=20, blank=True)
    about_event_id = models.BigIntegerField(null=True, blank=True)
    withheld = models.CharField(max_length=20, blank=True)
    paper = models.CharField(max_length=60, blank=True)  # that goes with it
    reply_to = models.CharField(max_length=320, blank=True)

    class Meta:
        indexes = [
            models.Index(
                fields=["next_try_at"],
                name="message_to_send",
                condition=models.Q(sent_at=None, given_up_at=None),
            ),
            models.Index(
                fields=["shop_id"],
                name="message_that_failed",
                condition=models.Q(
                    sent_at=None, given_up_at__isnull=False, withheld=""
                ),
            ),
        ]

    def __str__(self) -> str:
        return self.subject


class Lease(models.Model):
    """Who may do a job that only one process may do, and until when."""

    name = models.CharField(max_length=40, primary_key=True)
    holder = models.CharField(max_length=80)
    until = models.DateTimeField()

    def __str__(self) -> str:
        return f"{self.name}: {self.holder}"


class JobRun(models.Model):
    """When a job of ``jobs.py`` ran last, how that went, and when it is next due.

    ``started_at`` after ``ended_at`` is a run that goes on or was killed.
    """

    name = models.CharField(max_length=40, primary_key=True)
    next_at = models.DateTimeField()
    started_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    went_well_at = models.DateTimeField(null=True, blank=True)
    failures = models.PositiveIntegerField(default=0)
    last_error = models.CharField(max_length=200, blank=True)

    def __str__(self) -> str:
        return self.name

    @property
    def is_open(self) -> bool:
        """It runs just now, or was killed within its run."""
        if self.started_at is None:
            return False
        return self.ended_at is None or self.ended_at < self.started_at
