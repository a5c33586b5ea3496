"""What a ticket's events amount to, kept so that years of them are read at once.

Nothing here is a fact of its own: ``turnaround/counting.py`` makes every row anew
from the events. Moments are whole seconds since 1970 (UTC) and spans are seconds:
20,000 rows are reckoned with at a time.
"""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from shop.intake.models import Ticket
from shop.people.models import Shop

PARTS = ("queue", "hands", "parked", "customer", "supplier", "handover")


class TicketDays(models.Model):
    """One ticket's way through the shop, as of ``newest_event``.

    Of a ticket that is open only ``opened`` counts: the rest is folded when it is
    looked at. ``closed`` before ``opened`` is a clock that was wrong.
    """

    ticket = models.OneToOneField(
        Ticket, models.CASCADE, primary_key=True, related_name="+"
    )
    shop = models.ForeignKey(Shop, models.CASCADE, related_name="+", db_index=False)
    newest_event = models.BigIntegerField()
    opened = models.BigIntegerField()
    closed = models.BigIntegerField(null=True)
    queue = models.PositiveBigIntegerField(default=0)
    hands = models.PositiveBigIntegerField(default=0)
    parked = models.PositiveBigIntegerField(default=0)
    customer = models.PositiveBigIntegerField(default=0)
    supplier = models.PositiveBigIntegerField(default=0)
    handover = models.PositiveBigIntegerField(default=0)
    to_reading = models.PositiveBigIntegerField(null=True)
    to_quote = models.PositiveBigIntegerField(null=True)
    is_warranty = models.BooleanField(default=False)
    told = models.CharField(max_length=20, blank=True)
    found = models.CharField(max_length=20, blank=True)
    family = models.CharField(max_length=40, blank=True)
    technician = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        related_name="+",
        db_index=False,
    )

    class Meta:
        verbose_name_plural = "days of tickets"
        indexes = [
            models.Index(fields=["shop", "closed", "opened"], name="days_by_closing")
        ]
        constraints = [
            models.CheckConstraint(
                condition=Q(closed=None)
                | Q(closed__lt=F("opened"))
                | Q(
                    closed=F("opened")
                    + sum((F(part) for part in PARTS[1:]), F(PARTS[0]))
                ),
                name="the_parts_are_the_whole",
            )
        ]

    def __str__(self) -> str:
        return str(self.ticket)


class CountedUpTo(models.Model):
    """Up to which event the rows above were made; one row."""

    event = models.BigIntegerField(default=0)

    class Meta:
        verbose_name_plural = "counted up to"

    def __str__(self) -> str:
        return str(self.event)
