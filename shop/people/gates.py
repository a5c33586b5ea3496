"""What comes before everything else: a password of one's own, a second factor."""

from collections.abc import Callable
from typing import Any

from allauth.mfa.models import Authenticator
from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect

from shop.people.access import is_quick
from shop.people.models import Person

GetResponse = Callable[[HttpRequest], HttpResponse]
HAS_FACTOR = "has_factor"
ALWAYS_OPEN = {
    "people:sign_out",
    "people:here",
    "people:password",
    "people:again",
    "account_reauthenticate",
    "mfa_reauthenticate",
    "mfa_reauthenticate_webauthn",
}
SETTING_UP = {"mfa_index", "mfa_activate_totp", "mfa_add_webauthn"}


def first_things_first(get_response: GetResponse) -> GetResponse:
    """Nobody goes past a first password, or into the shop without a second factor."""

    def middleware(request: HttpRequest) -> HttpResponse:
        return get_response(request)

    def process_view(
        request: HttpRequest, view: Any, args: Any, kwargs: Any
    ) -> HttpResponse | None:
        if not request.user.is_authenticated or is_quick(request):
            return None
        match = request.resolver_match
        name = match.view_name if match else ""
        if name in ALWAYS_OPEN:
            return None
        if request.user.must_change_password:
            return redirect("people:password")
        if name not in SETTING_UP and lacks_factor(request, request.user):
            return redirect("mfa_index")
        return None

    middleware.process_view = process_view  # type: ignore[attr-defined]
    return middleware


def lacks_factor(request: HttpRequest, person: Person) -> bool:
    """Whether a second factor is asked for here and this person has none."""
    if settings.SECOND_FACTOR != "required" or request.session.get(HAS_FACTOR):
        return False
    if has_factor(person):
        request.session[HAS_FACTOR] = True
        return False
    return True


def has_factor(person: Person) -> bool:
    kinds = [Authenticator.Type.TOTP, Authenticator.Type.WEBAUTHN]
    held = Authenticator.objects.filter(user=person, type__in=kinds)
    return bool(held.exists())
