"""Switching the person at a bench tablet by PIN or badge."""

import time

from django.contrib import messages
from django.contrib.auth import login
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from shop.people import badges, pins, queries, sealed_pin
from shop.people.access import AtWork, public
from shop.people.models import Person, Station
from shop.people.session_limits import SEEN, seconds_left
from shop.people.sign_in import at_work, safe_next
from shop.people.sign_in_log import log
from shop.records.errors import Refused

BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


@public
@never_cache
@sensitive_post_parameters()
@require_http_methods(["GET", "POST"])
def switch(request: HttpRequest) -> HttpResponse:
    """The technicians' names and a number pad. Not ``once``, see ``factors.pin``."""
    station = bench_or_404(request)
    people = queries.technicians_of(station.shop)
    refusal = ""
    if request.method == "POST":
        chosen = request.POST.get("person", "")
        whom = next((p for p in people if str(p.pk) == chosen), None)
        try:
            if whom is None:
                refusal = _("First touch your name.")
            elif pins.is_right(whom, request.POST.get("pin", ""), station):
                return _at_the_bench(request, whom, station)
            else:
                refusal = _("That is not the PIN.")
        except Refused as refused:
            refusal = str(refused)
    context = {
        "people": _called(people),
        "here": station,
        "chosen": request.POST.get("person", ""),
        "refusal": refusal,
        "public_key": sealed_pin.public_key(),
        "next": request.POST.get("next") or request.GET.get("next", ""),
    }
    status = 422 if refusal else 200
    return render(request, "people/switch.html", context, status=status)


@public
@never_cache
@require_POST
def badge(request: HttpRequest) -> HttpResponse:
    """A scanned badge signs its holder in here, whoever was signed in before.

    Asked by the scanner's script (JSON) it says where to go, or what is wrong.
    """
    station = bench_or_404(request)
    is_script = request.headers.get("Accept") == "application/json"
    found = badges.badge_of(request.POST.get("code", ""), station.shop)
    may = found is not None and found.person in queries.technicians_of(station.shop)
    if found is None or not may:
        log.warning("a badge was refused at station %s", station.pk)
        said = _("This badge opens nothing here.")
        if is_script:
            return JsonResponse({"said": said}, status=422)
        messages.error(request, said)
        return redirect("people:switch")
    there = _at_the_bench(request, found.person, station)
    return JsonResponse({"url": there["Location"]}) if is_script else there


def _called(people: list[Person]) -> list[tuple[Person, str]]:
    """First names, which is all that a tablet may keep; whole ones where two share."""
    first = [(person.name.split() or [""])[0] for person in people]
    return [
        (person, name if first.count(name) == 1 else person.name)
        for person, name in zip(people, first, strict=True)
    ]


def _at_the_bench(
    request: HttpRequest, person: Person, station: Station
) -> HttpResponse:
    sign_in_here(request, person, station)
    bench = reverse("diagnostics:bench")
    wanted = safe_next(request, bench)
    return redirect(wanted if wanted.startswith(bench) else bench)


def sign_in_here(request: HttpRequest, person: Person, station: Station) -> None:
    request.quick_station = station  # type: ignore[attr-defined]
    login(request, person, backend=BACKEND)


def bench_or_404(request: HttpRequest) -> Station:
    station: Station | None = request.known_station  # type: ignore[attr-defined]
    if station is None or not station.is_bench:
        raise Http404
    return station


@at_work
@never_cache
@require_http_methods(["GET", "POST"])
def here(request: AtWork) -> HttpResponse:
    """How many seconds the session has left; a POST says that somebody is there."""
    if request.method == "POST":
        if "here" not in request.POST:
            return HttpResponse(status=422)
        request.session[SEEN] = time.time()
    return JsonResponse({"left": round(seconds_left(request, request.station))})
