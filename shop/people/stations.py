"""Stations: the shop's own computers and tablets, each known by its cookie."""

import hashlib
import secrets
from datetime import timedelta

from django.conf import settings
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from shop.people.models import Person, Shop, Station
from shop.records import services as records
from shop.records.kinds import Kind

TEN_YEARS = 10 * 365 * 24 * 3600
SEEN_EVERY = timedelta(minutes=5)


def hash_of(token: str) -> str:
    return hashlib.sha256(token.encode()).hexdigest()


@transaction.atomic
def station_enrol(
    *, shop: Shop, by: Person, name: str, is_bench: bool = False
) -> tuple[Station, str]:
    """A new station and its token, which is told once and kept as a hash."""
    token = secrets.token_urlsafe(32)
    station = Station.objects.create(
        shop=shop,
        name=name,
        is_bench=is_bench,
        token_hash=hash_of(token),
        enrolled_by=by,
    )
    records.event_record(
        Kind.STATION_ENROLLED,
        shop_id=shop.pk,
        by_id=by.pk,
        ids={"station": station.pk},
        codes={"is_bench": is_bench},
    )
    return station, token


@transaction.atomic
def station_end(*, station: Station, by: Person) -> None:
    """The station is known no more: at its next request it is a stranger."""
    if station.ended_at is not None:
        return
    station.ended_at = timezone.now()
    station.save(update_fields=["ended_at"])
    records.event_record(
        Kind.STATION_ENDED,
        shop_id=station.shop_id,
        by_id=by.pk,
        ids={"station": station.pk},
    )


def station_of(request: HttpRequest) -> Station | None:
    """The station that a request comes from, by its cookie."""
    token = request.COOKIES.get(settings.STATION_COOKIE, "")
    if not token:
        return None
    known = Station.objects.filter(token_hash=hash_of(token), ended_at=None)
    return known.select_related("shop").first()


def seen(station: Station | None) -> None:
    """Keep when a station was last here, to the minute or so."""
    now = timezone.now()
    if station is None or (station.seen_at and now - station.seen_at < SEEN_EVERY):
        return
    Station.objects.filter(pk=station.pk).update(seen_at=now)


def remember(response: HttpResponse, token: str) -> None:
    """Let the browser say from now on which station it is."""
    response.set_cookie(
        settings.STATION_COOKIE,
        token,
        max_age=TEN_YEARS,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Strict",
    )
