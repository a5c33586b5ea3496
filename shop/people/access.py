"""Who may enter a view. Nothing is open unless it says so here."""

import time
from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, cast

from django.conf import settings
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseBase
from django.urls import reverse
from django_htmx.http import HttpResponseClientRedirect
from django_htmx.middleware import HtmxDetails

from shop.people.models import Person, Role, Shop, Station

P = ParamSpec("P")
View = Callable[Concatenate[HttpRequest, P], HttpResponseBase]

FRONT_DESK = Role.FRONT_DESK
TECHNICIAN = Role.TECHNICIAN
OWNER = Role.OWNER
AUDITOR = Role.AUDITOR
FRESH = "signed_in_at"
QUICK = "quick_at_station"


class AtWork(HttpRequest):
    """A request by somebody who works in the shop: what ``roles`` lets in."""

    user: Person
    shop: Shop
    station: Station | None
    held_roles: frozenset[Role]
    htmx: HtmxDetails


ViewAtWork = Callable[Concatenate[AtWork, P], HttpResponseBase]


def roles(*allowed: Role) -> Callable[[ViewAtWork[P]], View[P]]:
    """Let in who holds at least one of these roles in the shop."""
    entitled = frozenset(allowed)
    if not entitled:
        raise ValueError("A view must name who may enter.")

    def guard(view: ViewAtWork[P]) -> View[P]:
        @wraps(view)
        def guarded(
            request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs
        ) -> HttpResponseBase:
            if not request.user.is_authenticated:
                return to_the_door(request)
            if not entitled & request.held_roles:  # type: ignore[attr-defined]
                raise PermissionDenied
            return view(cast(AtWork, request), *args, **kwargs)

        guarded.entitled = entitled  # type: ignore[attr-defined]
        return guarded

    return guard


def to_the_door(request: HttpRequest) -> HttpResponseBase:
    """To the sign-in, at a bench tablet to the names; the whole page, also by htmx."""
    station: Station | None = getattr(request, "station", None)
    is_bench = station is not None and station.is_bench
    door = reverse("people:switch") if is_bench else None
    htmx: HtmxDetails | None = getattr(request, "htmx", None)
    if htmx:
        away = redirect_to_login(htmx.current_url_abs_path or "/", door)
        return HttpResponseClientRedirect(away["Location"])
    return redirect_to_login(request.get_full_path(), door)


def is_quick(request: HttpRequest) -> bool:
    """Whether this session began with a PIN or a badge at a bench tablet."""
    return QUICK in request.session


def is_fresh(request: HttpRequest) -> bool:
    """Whether the full sign-in of this session was a few minutes ago."""
    if is_quick(request):
        return False
    signed_in_at: float = request.session.get(FRESH, 0.0)
    return time.time() - signed_in_at <= settings.FRESH_SECONDS


def fresh(view: ViewAtWork[P]) -> ViewAtWork[P]:
    """Ask for a full sign-in again, unless the last was a few minutes ago.

    Stands below ``roles``. A form that was typed meanwhile is lost, so the page
    that shows it is to be fresh too.
    """

    @wraps(view)
    def wrapped(
        request: AtWork, /, *args: P.args, **kwargs: P.kwargs
    ) -> HttpResponseBase:
        if is_fresh(request):
            return view(request, *args, **kwargs)
        return redirect_to_login(request.get_full_path(), reverse("people:again"))

    return wrapped


def public(view: View[P]) -> View[P]:
    """Mark a view that strangers may enter, so that the access test knows."""
    view.entitled = None  # type: ignore[attr-defined]
    return view


def before_the_shop(view: View[P]) -> View[P]:
    """A view that answers while no shop is set up yet; stands above the others."""
    view.is_before_the_shop = True  # type: ignore[attr-defined]
    return view
