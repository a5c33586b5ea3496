"""When a session began, and when it was last signed in to with everything asked for."""

import time
from typing import Any

from django.http import HttpRequest

from shop.people import pins
from shop.people.access import FRESH, QUICK
from shop.people.models import Person
from shop.people.session_limits import BEGAN, SEEN
from shop.people.sign_in_log import log


def begin(request: HttpRequest, user: Person, **_signal: Any) -> None:
    """At every sign-in; Django has given the session a new key already."""
    session, now = request.session, time.time()
    session[BEGAN] = session[SEEN] = now
    station = getattr(request, "quick_station", None)
    if station is not None:
        session[QUICK] = station.pk
        session.pop(FRESH, None)
        log.info("person %s: signed in at station %s", user.pk, station.pk)
        return
    session.pop(QUICK, None)
    session[FRESH] = now
    pins.wake(user, request)
    log.info("person %s: signed in", user.pk)


def again(
    request: HttpRequest,
    user: Person,
    *,
    reauthenticated: bool = False,
    **_signal: Any,
) -> None:
    """At every step of a sign-in; one of somebody inside makes the session fresh."""
    if not reauthenticated:
        return
    request.session.cycle_key()
    request.session[FRESH] = time.time()
    pins.wake(user, request)
    log.info("person %s: signed in again", user.pk)
