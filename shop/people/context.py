"""What every page shows of its surroundings: tabs, name, demo banner."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from shop.people.models import WORK_ROLES, Role, Station
from shop.people.session_limits import seconds_left

PLACES = (
    ("counter", _("Counter"), "desk:day_list", frozenset(WORK_ROLES)),
    ("bench", _("Bench"), "diagnostics:bench", frozenset({Role.TECHNICIAN})),
    ("parts", _("Parts"), "billing:stock", frozenset(WORK_ROLES)),
    ("till", _("Till"), "books:till", frozenset({Role.FRONT_DESK, Role.OWNER})),
    ("office", _("Office"), "office:review", frozenset({Role.OWNER})),
    ("books", _("Books"), "books:books", frozenset({Role.AUDITOR})),
)
ROOM_PLACES = {
    "diagnostics": "bench",
    "office": "office",
    "books": "office",
    "opening": "office",
    "rights": "office",
    "keeping": "office",
}
# Pages of several rooms that stand at another place than the counter.
PAGE_PLACES = dict.fromkeys(
    ("desk:lore", "desk:evening", "desk:evening_today", "desk:found_more"), "bench"
) | dict.fromkeys(
    (
        *("desk:month_run", "desk:month_of", "billing:account_rules"),
        "billing:payment_rules",
    ),
    "office",
)
PAGE_PLACES |= dict.fromkeys(
    ("books:till", "books:cash_move", "books:day_end", "books:owed"), "till"
)


def surroundings(request: HttpRequest) -> dict[str, Any]:
    roles: frozenset[Role] = getattr(request, "held_roles", frozenset())
    station: Station | None = getattr(request, "station", None)
    room = getattr(request.resolver_match, "namespace", "")
    page = getattr(request.resolver_match, "view_name", "")
    path = getattr(request.resolver_match, "route", "") or ""
    here = PAGE_PLACES.get(page) or ROOM_PLACES.get(room, "counter")
    here = "parts" if path.startswith("stock/") else here
    places = [
        {
            "key": key,
            "label": label,
            "url": reverse(url),
            "is_here": key in {here, room},
        }
        for key, label, url, entitled in PLACES
        if roles & entitled
    ]
    return {
        "nav_places": places,
        "find_url": reverse("searching:find") if roles & set(WORK_ROLES) else "",
        "shop": getattr(request, "shop", None),
        "is_demo": settings.IS_DEMO,
        "is_owner": Role.OWNER in roles,
        "station": station,
        "known_station": getattr(request, "known_station", None),
        **session_end_of(request, station),
    }


def session_end_of(request: HttpRequest, station: Station | None) -> dict[str, Any]:
    """What the page needs to say in time that its session will end."""
    if not getattr(request, "held_roles", None):
        return {}
    is_bench = station is not None and station.is_bench
    return {
        "session_left": round(seconds_left(request, station)),
        "warn_seconds": settings.WARN_SECONDS,
        "door_url": reverse("people:switch" if is_bench else "people:sign_in"),
    }
