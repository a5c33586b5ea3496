"""What other rooms' pages show of photos, rendered on the server."""

from typing import Any

from django.http import HttpRequest
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import SafeString

from shop.intake.models import Ticket
from shop.photos import limits, links, queries
from shop.photos.models import Photo, Side


def panel(ticket: Ticket, request: HttpRequest) -> SafeString:
    """The strip of a ticket's photos; what is pasted or dropped on the page is sent."""
    context = strip(ticket) | {
        "ticket": ticket,
        "is_open": not hasattr(ticket, "handover"),
        "pasted_side": Side.MICROSCOPE,
        "limits": limits,
        "send_url": reverse("photos:ticket", args=[ticket.number]),
    }
    return render_to_string("photos/_panel.html", context, request=request)


def strip(ticket: Ticket) -> dict[str, Any]:
    """The small pictures; asked for again while a phone may send some."""
    photos: list[Photo] = queries.of_ticket(ticket)
    return {
        "ticket": ticket,
        "photos": photos,
        "version": queries.version_of(photos),
        "is_waiting": links.open_link(ticket, timezone.now()) is not None,
    }
