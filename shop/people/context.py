"""What every page shows of its surroundings: tabs, name, demo banner."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from shop.people.models import Role

PLACES = (
    ("counter", _("Counter"), "desk:day_list", frozenset(Role)),
    ("bench", _("Bench"), "diagnostics:bench", frozenset({Role.TECHNICIAN})),
    ("office", _("Office"), "office:review", frozenset({Role.OWNER})),
)
ROOM_PLACES = {"diagnostics": "bench", "office": "office", "opening": "office"}


def surroundings(request: HttpRequest) -> dict[str, Any]:
    roles: frozenset[Role] = getattr(request, "held_roles", frozenset())
    room = getattr(request.resolver_match, "namespace", "")
    here = ROOM_PLACES.get(room, "counter")
    places = [
        {"key": key, "label": label, "url": reverse(url), "is_here": key == here}
        for key, label, url, entitled in PLACES
        if roles & entitled
    ]
    return {
        "nav_places": places,
        "find_url": reverse("desk:find") if roles else "",
        "shop": getattr(request, "shop", None),
        "is_demo": settings.IS_DEMO,
    }
