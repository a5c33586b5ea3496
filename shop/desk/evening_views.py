"""Pages of the clock: the evening list, the masthead's clock, a scan that takes."""

from datetime import date, datetime, timedelta

from django.contrib import messages
from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.dateparse import parse_date, parse_datetime
from django.utils.translation import gettext as _
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
)

from diagnostics import services as bench
from diagnostics import tablets
from diagnostics.place import Place, at_board
from shop.desk import evening_confirm
from shop.desk.evening import Evening, evening_of, unconfirmed_days
from shop.desk.evening_forms import DayForm
from shop.desk.evening_marks import day_bounds
from shop.desk.scan_taking import taken_by_scan
from shop.people import queries as people
from shop.people.access import OWNER, TECHNICIAN, AtWork, roles
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.idempotency import once


@roles(TECHNICIAN, OWNER)
@require_GET
def evening_today(request: AtWork) -> HttpResponse:
    return _list(request, request.user, timezone.localdate())


@roles(TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
def evening(request: AtWork, person_id: int, day: str) -> HttpResponse:
    """One's own day; another's only by the owner."""
    person, on = _person(request, person_id), _day(day)
    if request.method == "GET":
        return _list(request, person, on)
    return _confirm(request, person, on)


def _person(request: AtWork, person_id: int) -> Person:
    if person_id == request.user.pk:
        return request.user
    is_owner = OWNER in request.held_roles
    person = people.person_here(request.shop, person_id) if is_owner else None
    if person is None:
        raise Http404
    return person


def _day(typed: str) -> date:
    """A day that has begun, as its address names it."""
    try:
        day = parse_date(typed)
    except ValueError:
        day = None
    if day is None or day > timezone.localdate():
        raise Http404
    return day


def _list(request: AtWork, person: Person, on: date) -> HttpResponse:
    found = evening_of(request.shop, person, on, _end_of(request, on))
    return _page(request, found, DayForm(found))


def _confirm(request: AtWork, person: Person, on: date) -> HttpResponse:
    """Write the day down as it was shown; what came in meanwhile is shown first."""
    shown = evening_of(request.shop, person, on, _shown_at(request, on))
    form = DayForm(shown, request.POST)
    if form.is_valid():
        try:
            _as_shown(form)
            evening_confirm.day_confirm(
                shown, shop=request.shop, by=request.user, asked=form.asked()
            )
        except Refused as refused:
            found = evening_of(request.shop, person, on, _end_of(request, on))
            return _page(request, found, form.anew(found), refused=refused)
        messages.success(request, _("The day is confirmed."))
        return redirect("desk:evening", person.pk, on.isoformat())
    return _page(request, shown, form)


def _as_shown(form: DayForm) -> None:
    """Refuse what somebody confirmed without having seen it."""
    shown, found = form.cleaned_data, form.evening
    if shown["round"] != found.confirmed.rounds:
        raise Refused(_("This day was confirmed meanwhile. Look at it again."))
    if shown["digest"] != found.digest:
        raise Refused(_("More came in meanwhile. Look at it again."))


def _end_of(request: AtWork, on: date) -> datetime:
    """Now, or the end of a day that is over."""
    _first, after = day_bounds(request.shop, on)
    return min(timezone.now(), after - timedelta(seconds=1))


def _shown_at(request: AtWork, on: date) -> datetime:
    """The moment as of which the list was shown, within its day."""
    first, _after = day_bounds(request.shop, on)
    try:
        shown = parse_datetime(request.POST.get("until", ""))
    except ValueError:
        shown = None
    if shown is None or shown.tzinfo is None:
        return _end_of(request, on)
    return max(first, min(shown, _end_of(request, on)))


def _page(
    request: AtWork, found: Evening, form: DayForm, *, refused: Refused | None = None
) -> HttpResponse:
    context = {
        "evening": found,
        "form": form,
        "refused": refused,
        "is_own": found.person == request.user,
        "is_today": found.day == timezone.localdate(),
        "waiting": [
            (day, minutes)
            for _who, day, minutes in unconfirmed_days(
                request.shop, timezone.now(), of=found.person
            )
            if day != found.day
        ],
        "before": found.day - timedelta(days=1),
        "after": found.day + timedelta(days=1),
    }
    status = 422 if refused or (form.is_bound and form.errors) else 200
    return render(request, "desk/evening.html", context, status=status)


# --- the clock of the bench ---


@roles(TECHNICIAN)
@require_GET
@at_board
def clock(request: AtWork, place: Place) -> HttpResponse:
    """The masthead's clock by itself."""
    return render(request, "diagnostics/_clock.html", {"place": place})


@roles(TECHNICIAN)
@require_POST
@at_board
@once
def clock_undo(request: AtWork, place: Place) -> HttpResponse:
    """Put the clock back where it ran; the page stays."""
    taken = request.POST.get("taken", "")
    try:
        if taken.isascii() and taken.isdigit() and len(taken) < 18:
            bench.board_take_back(
                taken_id=int(taken), by=request.user, at=tablets.moment()
            )
    except Refused as refused:
        messages.error(request, str(refused))
    return redirect(place.url())


@roles(TECHNICIAN)
@require_POST
@once
def scan_take(request: AtWork) -> HttpResponse:
    """A tag or slip scanned at the bench: its board is taken in hand."""
    place = taken_by_scan(request.shop, request.user, request.POST.get("code", ""))
    return JsonResponse({"url": place.url() if place else ""})
