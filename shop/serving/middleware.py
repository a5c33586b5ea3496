"""Who is asking, behind a proxy that the shop has said it trusts."""

import ipaddress
from collections.abc import Callable

from django.conf import settings
from django.http import HttpRequest, HttpResponse

GetResponse = Callable[[HttpRequest], HttpResponse]


def address_behind_proxy(get_response: GetResponse) -> GetResponse:
    """Take the address that the proxy itself wrote: the last of X-Forwarded-For.

    What stands before it was sent by the visitor and may be anything. Without
    ``TRUST_PROXY_TLS_HEADER`` the header says nothing at all.
    """

    def middleware(request: HttpRequest) -> HttpResponse:
        if settings.TRUST_PROXY:
            last = request.META.get("HTTP_X_FORWARDED_FOR", "").rpartition(",")[2]
            request.META["REMOTE_ADDR"] = as_address(last) or request.META.get(
                "REMOTE_ADDR", ""
            )
        return get_response(request)

    return middleware


def as_address(text: str) -> str:
    """An IP address as such; empty where the text is none."""
    try:
        return str(ipaddress.ip_address(text.strip()))
    except ValueError:
        return ""
