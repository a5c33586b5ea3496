"""What every request passes: the demo's fence, the shop it is about."""

from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseForbidden
from django.utils import timezone, translation

from shop.people import languages, queries, stations
from shop.people.access import is_quick
from shop.people.models import Person, Role, Shop, Station

GetResponse = Callable[[HttpRequest], HttpResponse]
LOOPBACK = {"127.0.0.1", "::1"}


def local_only_in_demo(get_response: GetResponse) -> GetResponse:
    """The demo's people have known passwords: it answers this machine only."""

    def middleware(request: HttpRequest) -> HttpResponse:
        if settings.IS_DEMO and request.META["REMOTE_ADDR"] not in LOOPBACK:
            return HttpResponseForbidden("The demo answers this machine only.")
        return get_response(request)

    return middleware


def quiet_device_features(get_response: GetResponse) -> GetResponse:
    def middleware(request: HttpRequest) -> HttpResponse:
        response = get_response(request)
        response["Permissions-Policy"] = settings.PERMISSIONS_POLICY
        return response

    return middleware


def in_the_shop(get_response: GetResponse) -> GetResponse:
    """Put the shop and the person's roles on the request; nothing is cached.

    But what a view marked ``may_be_kept``: nothing of a customer's is in it.
    """

    def middleware(request: HttpRequest) -> HttpResponse:
        shop, roles = queries.place_of(request.user)
        if is_quick(request):
            roles &= {Role.TECHNICIAN}
        request.shop, request.held_roles = shop, roles  # type: ignore[attr-defined]
        if shop is None:
            return get_response(request)
        with timezone.override(shop.zone):
            response = get_response(request)
        if not getattr(response, "may_be_kept", False):
            response["Cache-Control"] = "no-store"
        return response

    return middleware


def in_their_language(get_response: GetResponse) -> GetResponse:
    """Whoever is signed in reads their own language; the browser's holds before."""

    def middleware(request: HttpRequest) -> HttpResponse:
        if isinstance(person := request.user, Person):
            translation.activate(languages.spoken(person.language))
            request.LANGUAGE_CODE = translation.get_language() or ""
        return get_response(request)

    return middleware


def at_a_station(get_response: GetResponse) -> GetResponse:
    """Put the station on the request: one of the signed-in person's own shop."""

    def middleware(request: HttpRequest) -> HttpResponse:
        station: Station | None = request.known_station  # type: ignore[attr-defined]
        shop: Shop | None = getattr(request, "shop", None)
        if station is not None and shop is not None and station.shop_id != shop.pk:
            station = None
        stations.seen(station)
        request.station = station  # type: ignore[attr-defined]
        return get_response(request)

    return middleware
