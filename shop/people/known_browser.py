"""A browser in which a person has signed in before counts wrong passwords by itself.

Else a stranger who types wrong passwords for the owner's name would shut the owner
out. What such a browser holds is worth nothing but a count of its own. (OWASP's "device
cookies", as a way to slow guessing down without locking people out.)
"""

import secrets

from django.conf import settings
from django.core import signing
from django.http import HttpRequest, HttpResponse

from shop.people.models import Person

A_YEAR = 365 * 24 * 3600
SALT = "people.known-browser"


def count_of(request: HttpRequest, username: str) -> str:
    """The name under which wrong passwords for ``username`` are counted here."""
    name = username.strip().lower()
    known = _held(request)
    if known is not None and known[0] == name:
        return f"browser:{known[1]}"
    return f"name:{name}"


def remember(response: HttpResponse, person: Person) -> None:
    held = signing.dumps([person.username.lower(), secrets.token_hex(16)], salt=SALT)
    response.set_cookie(
        settings.KNOWN_BROWSER_COOKIE,
        held,
        max_age=A_YEAR,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Strict",
    )


def _held(request: HttpRequest) -> tuple[str, str] | None:
    try:
        name, own = signing.loads(
            request.COOKIES.get(settings.KNOWN_BROWSER_COOKIE, ""),
            salt=SALT,
            max_age=A_YEAR,
        )
    except (signing.BadSignature, ValueError, TypeError):
        return None
    return name, own
