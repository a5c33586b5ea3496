"""They phoned: the tap that keeps what they were told."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from shop.desk import phoned
from shop.desk.views import ticket_page
from shop.intake import queries as tickets
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.records.errors import Refused
from shop.records.idempotency import once


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_POST
@once
def phoned_in(request: AtWork, number: str) -> HttpResponse:
    ticket = tickets.ticket_get(request.shop, number)
    try:
        phoned.keep(ticket, request.user, phoned.PhonedForm(request.POST))
    except Refused as refused:
        return ticket_page(request, ticket, refused=refused)
    messages.success(request, _("Kept: they phoned, and were told this."))
    return redirect(ticket)
