"""Before there is a shop every page leads to its set-up."""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import Resolver404, resolve

from shop.opening.first_key import shop_exists

GetResponse = Callable[[HttpRequest], HttpResponse]


def to_the_set_up(get_response: GetResponse) -> GetResponse:
    """Stands below ``in_the_shop``: who works in a shop costs no query here."""

    def middleware(request: HttpRequest) -> HttpResponse:
        is_in_a_shop = getattr(request, "shop", None) is not None
        if is_in_a_shop or shop_exists() or is_before_the_shop(request.path_info):
            return get_response(request)
        return redirect("opening:set_up")

    return middleware


def is_before_the_shop(path: str) -> bool:
    """Whether a view says of itself that it needs no shop."""
    try:
        view = resolve(path).func
    except Resolver404:
        return False
    return getattr(view, "is_before_the_shop", False)
