"""The address of a phone's link as a QR, drawn into the page."""

from dataclasses import dataclass
from urllib.parse import urlsplit

from django.http import HttpRequest
from django.urls import reverse
from django.utils.safestring import SafeString

from shop import qr

LOOPBACK = {"127.0.0.1", "localhost", "::1"}


@dataclass(frozen=True)
class Code:
    """``is_own_machine``: an address that no phone can reach."""

    url: str
    picture: SafeString
    is_own_machine: bool


def code_of(request: HttpRequest, token: str) -> Code:
    url = request.build_absolute_uri(reverse("photos:phone", args=[token]))
    return Code(
        url=url,
        picture=qr.svg(url),
        is_own_machine=urlsplit(url).hostname in LOOPBACK,
    )
