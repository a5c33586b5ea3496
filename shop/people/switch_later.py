"""What tablets report of switches while the network was away: each checked once."""

from datetime import UTC, datetime
from typing import Any

from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST

from shop.people import pins, queries, sealed_pin
from shop.people.access import public
from shop.people.models import LateSwitch, Person, Station
from shop.people.session_limits import BEGAN
from shop.people.switching import bench_or_404, sign_in_here
from shop.records.errors import Refused


@public
@never_cache
@sensitive_post_parameters()
@require_POST
def switch_later(request: HttpRequest) -> HttpResponse:
    """The PIN is looked at now. Right, and its person is signed in; wrong, and nobody
    is: the tablet asks again. The same key is answered as before.
    """
    station = bench_or_404(request)
    key = request.POST.get("key", "")
    kept = LateSwitch.objects.filter(key=key, station=station).first()
    if kept is None:
        told = sealed_pin.opened(request.POST.get("sealed", ""))
        kept = _checked(told, key, station)
        if kept is None:
            return HttpResponse(status=422)
        if kept.switched_at.timestamp() > request.session.get(BEGAN, 0.0):
            _let(request, kept)
    return JsonResponse(
        {"key": key, "person": kept.person_id, "confirmed": kept.is_confirmed}
    )


def _let(request: HttpRequest, kept: LateSwitch) -> None:
    """The newest switch says who is here, not one that is reported late."""
    if kept.is_confirmed:
        sign_in_here(request, kept.person, kept.station)
    else:
        logout(request)


def _checked(
    told: dict[str, Any] | None, key: str, station: Station
) -> LateSwitch | None:
    """The switch with what its PIN proved; ``None`` if it makes no sense."""
    if told is None or told.get("key") != key or not 16 <= len(key) <= 64:
        return None
    here = {p.pk: p for p in queries.technicians_of(station.shop)}
    person = here.get(told.get("person", 0)) or _left(station, told.get("person"))
    if person is None or not isinstance(told.get("at"), int | float):
        return None
    kept, is_new = LateSwitch.objects.get_or_create(
        key=key,
        defaults={
            "station": station,
            "person": person,
            "switched_at": _moment(told["at"]),
            "is_confirmed": False,
        },
    )
    if is_new and person.pk in here and _is_right(person, told, station):
        kept.is_confirmed = True
        kept.save(update_fields=["is_confirmed"])
    return kept


def _left(station: Station, person_id: object) -> Person | None:
    """Somebody of the shop who is no technician any more: kept, never confirmed."""
    if not isinstance(person_id, int):
        return None
    return queries.person_here(station.shop, person_id)


def _is_right(person: Person, told: dict[str, Any], station: Station) -> bool:
    try:
        return pins.is_right(person, str(told.get("pin", "")), station)
    except Refused:
        return False


def _moment(milliseconds: float) -> datetime:
    """The tablet's own clock; never later than now."""
    try:
        at = datetime.fromtimestamp(milliseconds / 1000, UTC)
    except (OverflowError, OSError, ValueError):
        return timezone.now()
    return min(at, timezone.now())
