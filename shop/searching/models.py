"""What a ticket is found by."""

from django.db import models

from shop.intake.models import Ticket
from shop.people.models import Shop


class TicketText(models.Model):
    """A ticket's words, folded (``plain.py``): personal, and gone with their source.

    Always what ``sources.texts_of`` makes of the ticket's rows; never edited.
    """

    ticket = models.OneToOneField(
        Ticket, models.CASCADE, primary_key=True, related_name="search_text"
    )
    shop = models.ForeignKey(Shop, models.PROTECT, related_name="+")
    text = models.TextField()

    def __str__(self) -> str:
        return self.ticket.number
