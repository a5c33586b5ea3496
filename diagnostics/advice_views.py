"""Suspects, words on them, what is seen, and how far advice was right: traffic only."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET, require_POST

from diagnostics import advice_page, bench_page, queries, services, tablets
from diagnostics.advice_forms import SightingForm, SuspectForm, SuspectWordForm
from diagnostics.forms import StrikeForm
from diagnostics.place import Place, at_board
from diagnostics.views import answer
from shop.people.access import OWNER, TECHNICIAN, AtWork, roles
from shop.records.idempotency import once


@roles(TECHNICIAN)
@require_GET
@at_board
def suspects(request: AtWork, place: Place) -> HttpResponse:
    return bench_page.show_suspects(request, place)


@roles(TECHNICIAN)
@require_POST
@at_board
@once
def suspect_name(request: AtWork, place: Place) -> HttpResponse:
    form = SuspectForm(request.POST, known=queries.known_of(place.board))
    return answer(request, place, "suspect", form, services.suspect_name)


@roles(TECHNICIAN)
@require_POST
@at_board
@once
def suspect_word(request: AtWork, place: Place) -> HttpResponse:
    form = SuspectWordForm(request.POST, known=queries.known_of(place.board))
    return answer(request, place, "word", form, services.suspect_word)


@roles(TECHNICIAN)
@require_POST
@at_board
@once
def sighting(request: AtWork, place: Place) -> HttpResponse:
    form = SightingForm(request.POST, known=queries.known_of(place.board))
    return answer(request, place, "sighting", form, services.sighting_keep)


@roles(TECHNICIAN)
@require_POST
@at_board
@once
def sighting_strike(request: AtWork, place: Place, sighting_id: int) -> HttpResponse:
    seen = get_object_or_404(place.board.sightings, pk=sighting_id)
    form = StrikeForm(request.POST)
    if not form.is_valid():
        return bench_page.show(request, place, refused={"strike": form})
    services.sighting_strike(
        sighting=seen, by=request.user, at=tablets.moment(), **form.cleaned_data
    )
    return redirect(place.url())


@roles(TECHNICIAN, OWNER)
@require_GET
def advice(request: AtWork) -> HttpResponse:
    """How often what was said was right, and the newest rows of advice."""
    context = advice_page.context_of(request.shop)
    return render(request, "diagnostics/advice.html", context)
