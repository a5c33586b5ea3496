"""When a session ends by itself, decided here and not in the browser.

Twelve hours after the sign-in; when nobody has done anything for an hour, at a bench
tablet for a quarter of one; and, begun with PIN or badge, away from its tablet.
"""

import time
from collections.abc import Callable

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from shop.people import stations
from shop.people.access import QUICK
from shop.people.models import Station

BEGAN, SEEN = "began_at", "seen_at"
# What a page asks for by itself is no sign that somebody is there.
BY_ITSELF = "X-By-Itself"
WRITE_EVERY = 15
GetResponse = Callable[[HttpRequest], HttpResponse]

ENDED: dict[str, Promise] = {
    "idle": _("Nobody was here for a while, so you were signed out."),
    "day": _("Twelve hours are over: please sign in again."),
    "station": _("This sign-in held at its bench tablet only."),
}


def sessions_end(get_response: GetResponse) -> GetResponse:
    def middleware(request: HttpRequest) -> HttpResponse:
        station = stations.station_of(request)
        request.known_station = station  # type: ignore[attr-defined]
        if request.user.is_authenticated:
            reason = over(request, station)
            if reason:
                logout(request)
                messages.info(request, str(ENDED[reason]))
            elif BY_ITSELF not in request.headers:
                _seen(request)
        return get_response(request)

    return middleware


def over(request: HttpRequest, station: Station | None) -> str:
    """Why the session is over, or ``""``."""
    session = request.session
    at = session.get(QUICK)
    if at is not None and (station is None or station.pk != at or not station.is_bench):
        return "station"
    if time.time() - session.get(BEGAN, 0.0) > settings.SESSION_COOKIE_AGE:
        return "day"
    return "idle" if seconds_left(request, station) <= 0 else ""


def seconds_left(request: HttpRequest, station: Station | None) -> float:
    """Until the session ends if nothing more is done in it."""
    session, now = request.session, time.time()
    idle = session.get(SEEN, 0.0) + idle_seconds(station) - now
    whole = session.get(BEGAN, 0.0) + settings.SESSION_COOKIE_AGE - now
    return float(min(idle, whole))


def idle_seconds(station: Station | None) -> int:
    at_bench = station is not None and station.is_bench
    seconds: int = settings.IDLE_SECONDS_AT_BENCH if at_bench else settings.IDLE_SECONDS
    return seconds


def _seen(request: HttpRequest) -> None:
    now = time.time()
    if now - request.session.get(SEEN, 0.0) >= WRITE_EVERY:
        request.session[SEEN] = now
