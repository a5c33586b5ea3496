"""Photos at the bench: of a ticket, and of the board in hand."""

from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.safestring import SafeString
from django.views.decorators.http import require_http_methods

from diagnostics.place import Place, at_board
from shop.people.access import TECHNICIAN, AtWork, roles
from shop.photos import panels, receiving
from shop.photos.receiving import Where
from shop.records.idempotency import key_of, refusal


def panel(request: AtWork, place: Place) -> SafeString | None:
    """The strip; what is pasted or dropped at the bench is kept with the board.

    A reference board has none: nothing of a customer is in its session.
    """
    if place.ticket is None:
        return None
    url = reverse("diagnostics:photos", args=[place.number, place.board.pk])
    return panels.panel(place.ticket, request, send_url=url)


@roles(TECHNICIAN)
@require_http_methods(["GET", "POST"])
@at_board
def photos(request: AtWork, place: Place) -> HttpResponse:
    """Photos for the board in hand; to look at them is the ticket's own page."""
    if place.ticket is None:
        raise Http404
    if request.method != "POST":
        return redirect("photos:ticket", place.number)
    if not key_of(request):
        return refusal(request, "key_missing", status=400)
    where = Where(
        by=request.user,
        ticket=place.ticket,
        board_id=place.board.pk,
        station=request.station,
    )
    return receiving.for_script(receiving.receive(request, where))
