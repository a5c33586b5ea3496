"""The owner's page of stations: which browsers the shop knows."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from shop.people import stations as acts
from shop.people.access import OWNER, AtWork, fresh, roles
from shop.people.forms import StationForm
from shop.people.models import Station
from shop.records.idempotency import once


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@fresh
def stations(request: AtWork) -> HttpResponse:
    """The list, and this browser's own enrolment. Not ``once``: the token is told in a
    cookie, which a kept answer must not hold; a browser is enrolled once anyway.
    """
    form = StationForm(request.POST if request.method == "POST" else None)
    if form.is_bound and request.station is None and form.is_valid():
        _station, token = acts.station_enrol(
            shop=request.shop,
            by=request.user,
            name=form.cleaned_data["name"],
            is_bench=form.cleaned_data["kind"] == "bench",
        )
        messages.success(request, _("This browser is a station of the shop now."))
        response = redirect("people:stations")
        acts.remember(response, token)
        return response
    known = Station.objects.filter(shop=request.shop, ended_at=None)
    context = {"stations": known, "form": form, "own": request.station}
    status = 422 if form.is_bound else 200
    return render(request, "people/stations.html", context, status=status)


@roles(OWNER)
@require_POST
@fresh
@once
def station_end(request: AtWork, station_id: int) -> HttpResponse:
    station = get_object_or_404(Station, pk=station_id, shop=request.shop)
    acts.station_end(station=station, by=request.user)
    messages.success(request, _("Ended: at its next request it is a stranger."))
    return redirect("people:stations")
