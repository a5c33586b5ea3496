"""The shop's places: make them, label them, see what lies there."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
)

from shop.intake import places as known
from shop.intake import printed, services, tags
from shop.intake.forms_shown import done, typed
from shop.intake.models import Place
from shop.intake.pages import paper
from shop.intake.place_forms import PlacesForm
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.printing.services import print_ask
from shop.records.idempotency import once


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
def places(request: AtWork) -> HttpResponse:
    form = PlacesForm(typed(request))
    made: list[Place] = []

    def act() -> object:
        shop, by = request.shop, request.user
        made.extend(services.places_make(shop=shop, by=by, **form.cleaned_data))
        return made

    if done(form, act):
        messages.success(request, _made_words(len(made)))
        return redirect("intake:places")
    context = {"form": form, "places": known.of(request.shop)}
    status = 422 if form.is_bound else 200
    return render(request, "intake/places.html", context, status=status)


def _made_words(n: int) -> str:
    return ngettext("%(n)d place is made.", "%(n)d places are made.", n) % {"n": n}


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
def labels(request: AtWork) -> HttpResponse:
    """The labels of all places, or of those whose numbers are asked for."""
    wanted = set(request.GET.getlist("place"))
    listed = [p for p in known.of(request.shop) if not wanted or str(p.pk) in wanted]
    if not listed:
        return redirect("intake:places")
    return paper(tags.shelf_labels(listed).body, "shelf-labels")


def _place(request: AtWork, place_id: int) -> Place:
    places = Place.objects.select_related("shop")
    return get_object_or_404(places, pk=place_id, shop=request.shop)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
def place(request: AtWork, place_id: int) -> HttpResponse:
    """What lies here; scan things onto it."""
    row = _place(request, place_id)
    context = {"place": row, "things": known.things_at(row)}
    return render(request, "intake/place.html", context)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
def label(request: AtWork, place_id: int) -> HttpResponse:
    row = _place(request, place_id)
    return paper(tags.shelf_labels([row]).body, f"label-{row.pk}")


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_POST
@once
def label_print(request: AtWork, place_id: int) -> HttpResponse:
    row = _place(request, place_id)
    orders = [printed.label_order(row)]
    if print_ask(station=request.station, by=request.user, orders=orders):
        messages.success(request, _("The label is on its way to the printer."))
        return redirect(row)
    return redirect("intake:place_label", row.pk)


@roles(FRONT_DESK, OWNER)
@require_POST
@once
def end(request: AtWork, place_id: int) -> HttpResponse:
    row = _place(request, place_id)
    services.place_end(place=row, by=request.user)
    messages.success(request, _("%(place)s is no place any more.") % {"place": row})
    return redirect("intake:places")
