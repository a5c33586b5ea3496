"""Where a request works: a ticket of this person's shop."""

from collections.abc import Callable
from functools import wraps
from typing import Concatenate, ParamSpec

from django.http import HttpResponse

from shop.intake import queries
from shop.intake.models import Ticket
from shop.people.access import AtWork

P = ParamSpec("P")


def at_ticket(
    view: Callable[Concatenate[AtWork, Ticket, P], HttpResponse],
) -> Callable[Concatenate[AtWork, str, P], HttpResponse]:
    """Fetch the ticket in this person's shop, or 404, before the act."""

    @wraps(view)
    def placed(
        request: AtWork, number: str, *args: P.args, **kwargs: P.kwargs
    ) -> HttpResponse:
        ticket = queries.ticket_get(request.shop, number)
        return view(request, ticket, *args, **kwargs)

    return placed  # type: ignore[return-value]  # Django passes by name
