"""The address of a phone's link as a QR, drawn into the page."""

from dataclasses import dataclass
from urllib.parse import urlsplit

import segno
from django.http import HttpRequest
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe

LOOPBACK = {"127.0.0.1", "localhost", "::1"}


@dataclass(frozen=True)
class Code:
    """``is_own_machine``: an address that no phone can reach."""

    url: str
    picture: SafeString
    is_own_machine: bool


def code_of(request: HttpRequest, token: str) -> Code:
    url = request.build_absolute_uri(reverse("photos:phone", args=[token]))
    drawn = segno.make(url, error="m").svg_inline(
        scale=6, border=4, dark="#000", light="#fff", omitsize=False
    )
    return Code(
        url=url,
        picture=mark_safe(drawn),  # noqa: S308  drawn by us: squares alone
        is_own_machine=urlsplit(url).hostname in LOOPBACK,
    )
