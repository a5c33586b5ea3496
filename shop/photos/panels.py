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

FEW = 8


def panel(ticket: Ticket, request: HttpRequest, *, send_url: str = "") -> SafeString:
    """The strip of a ticket's photos; what is pasted or dropped on the page is sent.

    ``send_url`` is of a later room, which knows what else it is a photo of.
    """
    add_url = reverse("photos:ticket", args=[ticket.number])
    context = strip(ticket, most=FEW) | {
        "is_open": not hasattr(ticket, "handover"),
        "pasted_side": Side.MICROSCOPE,
        "limits": limits,
        "send_url": send_url or add_url,
        "add_url": add_url,
    }
    return render_to_string("photos/_panel.html", context, request=request)


def strip(ticket: Ticket, *, most: int = 0) -> dict[str, Any]:
    """The small pictures, or the newest of them (``most``).

    Asked for again while a phone may send some.
    """
    photos: list[Photo] = queries.of_ticket(ticket)
    return {
        "ticket": ticket,
        "photos": photos[-most:],
        "most": most,
        "more": max(0, len(photos) - most) if most else 0,
        "version": queries.version_of(photos),
        "is_waiting": links.open_link(ticket, timezone.now()) is not None,
    }
