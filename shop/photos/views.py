"""Pages of photos for the people of the shop: traffic only."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
)

from shop.intake.models import Ticket
from shop.intake.place import at_ticket
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.photos import limits, links, panels, qr, queries, receiving, services, serving
from shop.photos.forms import DescribeForm, KeepingForm, SideForm
from shop.photos.models import Photo
from shop.photos.receiving import Received, Where
from shop.records.errors import Refused
from shop.records.idempotency import key_of, once, refusal

STOP_ASKING = 286  # htmx: swap this, and ask no more


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@at_ticket
def ticket(request: AtWork, ticket: Ticket) -> HttpResponse:
    """A ticket's photos, and ways to add some."""
    if request.method != "POST":
        return _page(request, ticket)
    if not key_of(request):
        return refusal(request, "key_missing", status=400)
    where = Where(by=request.user, ticket=ticket, station=request.station)
    received = receiving.receive(request, where)
    if receiving.is_script(request):
        return receiving.for_script(received)
    if received.refused:
        return _page(request, ticket, received=received)
    messages.success(request, received.said)
    return redirect("photos:ticket", ticket.number)


def _page(
    request: AtWork,
    ticket: Ticket,
    *,
    received: Received | None = None,
    refused: str = "",
    code: qr.Code | None = None,
) -> HttpResponse:
    context = panels.strip(ticket) | {
        "form": SideForm(request.POST if received else None),
        "is_open": not hasattr(ticket, "handover"),
        "received": received,
        "refused": refused,
        "code": code,
        "link": links.open_link(ticket, timezone.now()),
        "limits": limits,
        "most_megabytes": limits.MOST_BYTES // limits.MEGA,
    }
    status = 422 if refused or (received and received.refused) else 200
    return render(request, "photos/ticket.html", context, status=status)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
@at_ticket
def strip(request: AtWork, ticket: Ticket) -> HttpResponse:
    """For htmx: the small pictures, when they are others than the page has."""
    if not request.htmx:
        return redirect("photos:ticket", ticket.number)
    most = panels.FEW if request.GET.get("few") else 0
    context = panels.strip(ticket, most=most)
    if context["is_waiting"] and request.GET.get("seen") == context["version"]:
        return HttpResponse(status=204)
    status = 200 if context["is_waiting"] else STOP_ASKING
    return render(request, "photos/_strip.html", context, status=status)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_POST
@at_ticket
def link_make(request: AtWork, ticket: Ticket) -> HttpResponse:
    """The QR for a phone. Not ``@once``: the answer tells the token, once."""
    if not key_of(request):
        return refusal(request, "key_missing", status=400)
    try:
        _link, token = links.link_make(ticket=ticket, by=request.user)
    except Refused as refused:
        return _page(request, ticket, refused=str(refused))
    return _page(request, ticket, code=qr.code_of(request, token))


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_POST
@once
@at_ticket
def link_end(request: AtWork, ticket: Ticket) -> HttpResponse:
    links.end_all(ticket, timezone.now())
    return redirect("photos:ticket", ticket.number)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
def photo(request: AtWork, photo_id: int) -> HttpResponse:
    """One photo as large as it goes, among its neighbours."""
    row = queries.photo_get(request.shop, photo_id)
    start = {"side": row.side, "note": row.note.text if row.note else ""}
    form = DescribeForm(request.POST or None, initial=start)
    if request.method == "POST" and form.is_valid():
        services.photo_describe(photo=row, by=request.user, **form.cleaned_data)
        return redirect("photos:photo", row.pk)
    context = {"photo": row, "form": form, "among": queries.among(row)}
    status = 422 if request.method == "POST" else 200
    return render(request, "photos/photo.html", context, status=status)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_POST
@once
def photo_erase(request: AtWork, photo_id: int) -> HttpResponse:
    row = queries.photo_get(request.shop, photo_id)
    services.photo_erase(photo=row, by=request.user)
    messages.success(request, _("The photo is erased."))
    if row.ticket is None:
        return redirect("desk:home")
    return redirect("photos:ticket", row.ticket.number)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
def full(request: AtWork, photo_id: int) -> HttpResponse:
    row = queries.photo_get(request.shop, photo_id)
    return serving.jpeg(row.full_file, shown_as(row))


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
def small(request: AtWork, photo_id: int) -> HttpResponse:
    row = queries.photo_get(request.shop, photo_id)
    return serving.jpeg(row.small_file, shown_as(row))


def shown_as(row: Photo) -> str:
    number = row.ticket.number if row.ticket else "board"
    return f"photo-{number}-{row.pk}.jpg"


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@once
def keeping(request: AtWork) -> HttpResponse:
    """For how long photos stay after the handover."""
    start = {"days": services.days_kept(request.shop)}
    form = KeepingForm(request.POST or None, initial=start)
    if request.method == "POST" and form.is_valid():
        services.keeping_set(shop=request.shop, by=request.user, **form.cleaned_data)
        messages.success(request, _("Kept."))
        return redirect("photos:keeping")
    status = 422 if request.method == "POST" else 200
    return render(request, "photos/keeping.html", {"form": form}, status=status)
