"""Who may enter a view. Nothing is open unless it says so here."""

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec, cast

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseBase
from django_htmx.middleware import HtmxDetails

from shop.people.models import Person, Role, Shop

P = ParamSpec("P")
View = Callable[Concatenate[HttpRequest, P], HttpResponseBase]

FRONT_DESK = Role.FRONT_DESK
TECHNICIAN = Role.TECHNICIAN
OWNER = Role.OWNER
EVERYBODY = frozenset(Role)


class AtWork(HttpRequest):
    """A request by somebody who works in the shop: what ``roles`` lets in."""

    user: Person
    shop: Shop
    held_roles: frozenset[Role]
    htmx: HtmxDetails


ViewAtWork = Callable[Concatenate[AtWork, P], HttpResponseBase]


def roles(*allowed: Role) -> Callable[[ViewAtWork[P]], View[P]]:
    """Let in who holds at least one of these roles in the shop."""
    entitled = frozenset(allowed)
    if not entitled:
        raise ValueError("A view must name who may enter.")

    def guard(view: ViewAtWork[P]) -> View[P]:
        @wraps(view)
        def guarded(
            request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs
        ) -> HttpResponseBase:
            if not request.user.is_authenticated:
                return redirect_to_login(request.get_full_path())
            if not entitled & request.held_roles:  # type: ignore[attr-defined]
                raise PermissionDenied
            return view(cast(AtWork, request), *args, **kwargs)

        guarded.entitled = entitled  # type: ignore[attr-defined]
        return guarded

    return guard


def public(view: View[P]) -> View[P]:
    """Mark a view that strangers may enter, so that the access test knows."""
    view.entitled = None  # type: ignore[attr-defined]
    return view
