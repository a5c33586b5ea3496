"""The language of a paper: the customer's when it was made out, whatever it is now.

Kept by the event that the paper is of; what happened before this was kept speaks the
customer's present one.
"""

from shop.intake.models import Ticket
from shop.records.kinds import Kind
from shop.records.models import Event

CODE = "language"
# Of a quick intake the slip is made out once more when the rest was asked.
OF_SLIP = (Kind.TICKET_OPENED, Kind.INTAKE_FINISHED)


def kept(ticket: Ticket) -> dict[str, str]:
    """The code by which an event keeps it."""
    return {CODE: ticket.customer.language}


def language_of(ticket: Ticket, *kinds: Kind, **ids: int) -> str:
    """That of the newest such event, of the rows with these ids."""
    events = Event.objects.filter(ticket_id=ticket.pk, kind__in=kinds).order_by("-id")
    codes = (one.codes for one in events if one.ids.items() >= ids.items())
    found = next((one[CODE] for one in codes if CODE in one), None)
    return str(found or ticket.customer.language)
