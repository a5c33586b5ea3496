"""Buttons of the ticket page's messages."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from shop.intake.models import Ticket
from shop.intake.place import at_ticket
from shop.messaging import services
from shop.people.access import FRONT_DESK, OWNER, AtWork, roles
from shop.records.errors import Refused
from shop.records.idempotency import once
from shop.records.models import OutgoingMessage


@roles(FRONT_DESK, OWNER)
@require_POST
@once
@at_ticket
def again(request: AtWork, ticket: Ticket, message_id: int) -> HttpResponse:
    message = _message(ticket, message_id)
    return _done(
        request,
        ticket,
        lambda: services.message_again(message=message),
        _("It is tried again."),
    )


@roles(FRONT_DESK, OWNER)
@require_POST
@once
@at_ticket
def told(request: AtWork, ticket: Ticket, message_id: int) -> HttpResponse:
    message = _message(ticket, message_id)
    return _done(
        request,
        ticket,
        lambda: services.message_told(message=message, ticket=ticket, by=request.user),
        _("Noted: told by phone."),
    )


@roles(FRONT_DESK, OWNER)
@require_POST
@once
@at_ticket
def invoice(request: AtWork, ticket: Ticket) -> HttpResponse:
    return _done(
        request,
        ticket,
        lambda: services.invoice_send(ticket=ticket),
        _("The invoice goes out by e-mail."),
    )


def _message(ticket: Ticket, message_id: int) -> OutgoingMessage:
    rows = OutgoingMessage.objects.filter(ticket_id=ticket.pk).exclude(kind="")
    return get_object_or_404(rows, pk=message_id)


def _done(
    request: AtWork, ticket: Ticket, act: Callable[[], object], said: str
) -> HttpResponse:
    try:
        act()
    except Refused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, said)
    is_of_the_day = request.POST.get("then") == "day"
    return redirect("desk:day_list" if is_of_the_day else ticket)
