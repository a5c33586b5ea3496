"""Where allauth asks the house: who may sign in, how secrets are kept, which words."""

import base64
import secrets
from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from allauth.core import context
from allauth.mfa.adapter import DefaultMFAAdapter
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext_lazy as _

from shop import qr
from shop.people import known_browser, sealing
from shop.people.access import is_fresh
from shop.people.models import Person, Shop
from shop.people.queries import has_ended
from shop.people.sign_in_log import log


class AccountAdapter(DefaultAccountAdapter):  # type: ignore[misc]
    error_messages = DefaultAccountAdapter.error_messages | {
        "username_password_mismatch": _(
            "This name and password don’t belong together. Look at both again."
        ),
        "too_many_login_attempts": _(
            "Too many wrong tries. The door opens again in five minutes; a passkey "
            "opens it now."
        ),
        "incorrect_password": _("That is not your password."),
        "incorrect_code": _("That code doesn’t fit, or was used before."),
        "rate_limited": _("Too many tries. Wait five minutes."),
    }

    def is_open_for_signup(self, request: HttpRequest) -> bool:
        return False

    def pre_authenticate(self, request: HttpRequest, **credentials: Any) -> None:
        try:
            super().pre_authenticate(request, **credentials)
        except ValidationError:
            log.warning("a name was tried too often, and is refused for a while")
            raise

    def authenticate(self, request: HttpRequest, **credentials: Any) -> Person | None:
        """Whoever left gets the same answer as whoever never was.

        So does an auditor whose last day has passed.
        """
        person: Person | None = super().authenticate(request, **credentials)
        if person is not None and (not person.is_active or has_ended(person)):
            self.authentication_failed(request, **credentials)
            return None
        return person

    def authentication_failed(self, request: HttpRequest, **credentials: Any) -> None:
        log.warning("a name and password were refused")

    def respond_user_inactive(self, request: HttpRequest, user: Person) -> HttpResponse:
        return redirect("people:sign_in")

    def post_login(
        self, request: HttpRequest, user: Person, **kwargs: Any
    ) -> HttpResponse:
        response: HttpResponse = super().post_login(request, user, **kwargs)
        known_browser.remember(response, user)
        return response

    def is_reauthentication_required(self, *, app: str) -> bool:
        """One rule for what is fresh: the house's own."""
        return not is_fresh(context.request)

    def _get_login_attempts_cache_key(
        self, request: HttpRequest, **credentials: Any
    ) -> str:
        return known_browser.count_of(request, credentials.get("username", ""))


class FactorAdapter(DefaultMFAAdapter):  # type: ignore[misc]
    error_messages = DefaultMFAAdapter.error_messages | {
        "incorrect_code": _("That code doesn’t fit, or was used before."),
    }

    def encrypt(self, text: str) -> str:
        return sealing.seal(text)

    def decrypt(self, encrypted_text: str) -> str:
        """Without its key a factor answers to nothing: no code fits a random secret."""
        unsealed = sealing.unseal(encrypted_text)
        return _fits_nothing() if unsealed is None else unsealed

    def get_totp_issuer(self) -> str:
        shop: Shop | None = getattr(context.request, "shop", None)
        return shop.name if shop else "Coldrail"

    def get_totp_label(self, user: Person) -> str:
        return user.username

    def build_totp_svg(self, url: str) -> str:
        return str(qr.svg(url))

    def _get_site_name(self) -> str:
        return self.get_totp_issuer()


def _fits_nothing() -> str:
    return base64.b32encode(secrets.token_bytes(20)).decode()
