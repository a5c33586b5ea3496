"""What the ticket page says of the passcode: that it is kept, never what it is."""

from django.http import HttpRequest
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from shop.intake.models import Ticket
from shop.intake.passcode_models import Passcode
from shop.people import queries as people
from shop.people.models import Person, Role
from shop.records.kinds import Kind
from shop.records.models import Event
from shop.records.sealed import can_open


def panel(
    ticket: Ticket, person: Person, request: HttpRequest | None = None
) -> SafeString:
    """With ``request`` it holds the button that erases, else words and links."""
    _shop, roles = people.place_of(person)
    row = Passcode.objects.filter(ticket=ticket).select_related("kept_by").first()
    shown = Event.objects.filter(ticket_id=ticket.pk, kind=Kind.PASSCODE_SHOWN.value)
    context = {
        "ticket": ticket,
        "row": row,
        "is_open": not hasattr(ticket, "handover"),
        "is_lost": row is not None and row.is_kept and not can_open(row, "sealed"),
        "times_shown": shown.count() if row else 0,
        "last_shown": shown.select_related("by").last() if row else None,
        "is_technician": Role.TECHNICIAN in roles,
    }
    return render_to_string("intake/_panel_passcode.html", context, request=request)
