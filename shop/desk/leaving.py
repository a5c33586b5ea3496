"""Somebody leaves: what will happen, what stays open, which passcodes they saw."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from diagnostics import holding
from shop.intake import open_tickets
from shop.intake.models import Ticket
from shop.people import queries as people
from shop.people import services
from shop.people.access import OWNER, AtWork, fresh, roles
from shop.people.models import Person, Shop
from shop.records.errors import Refused
from shop.records.idempotency import once
from shop.records.kinds import Kind
from shop.records.models import Event

RECENTLY = timedelta(days=90)


@dataclass(frozen=True)
class Open:
    """What hangs on one person: open tickets, those in hand, passcodes seen."""

    tickets: list[Ticket]
    in_hand: frozenset[int]
    passcodes: list[tuple[datetime, Ticket | None]]


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@fresh
@once
def leaving(request: AtWork, person_id: int) -> HttpResponse:
    person = people.person_here(request.shop, person_id)
    if person is None:
        raise Http404
    refusal = ""
    if request.method == "POST":
        try:
            _leave(request, person)
        except Refused as refused:
            refusal = str(refused)
        else:
            messages.success(
                request, _("%(name)s has left the shop.") % {"name": person.name}
            )
            return redirect("desk:leaving", person_id=person.pk)
    context = {
        "person": person,
        "open": open_of(request.shop, person, timezone.now()),
        "refusal": refusal,
    }
    status = 422 if refusal else 200
    return render(request, "desk/leaving.html", context, status=status)


def _leave(request: AtWork, person: Person) -> None:
    if request.POST.get("sure") != "yes":
        raise Refused(_("Nothing was done: the button says it."))
    services.person_leave(shop=request.shop, person=person, by=request.user)


def open_of(shop: Shop, person: Person, now: datetime) -> Open:
    """Open tickets on which the person did anything, and passcodes seen lately."""
    own = Event.objects.filter(shop_id=shop.pk, by_id=person.pk)
    rows = Ticket.objects.filter(shop=shop).select_related("customer", "device")
    tickets = open_tickets.open_of(shop, rows)
    touched = own.filter(ticket_id__in=[one.pk for one in tickets])
    touched_ids = set(touched.values_list("ticket_id", flat=True))
    held = {ticket_id for _board, ticket_id in holding.boards_in_hand(person)}
    seen = own.filter(kind=Kind.PASSCODE_SHOWN, at__gte=now - RECENTLY).order_by("-at")
    of = Ticket.objects.in_bulk([e.ticket_id for e in seen if e.ticket_id])
    return Open(
        tickets=[one for one in tickets if one.pk in touched_ids],
        in_hand=frozenset(pk for pk in held if pk is not None),
        passcodes=[(e.at, of.get(e.ticket_id or 0)) for e in seen],
    )
