"""The page that a customer's phone gets by the address on the slip.

Whatever is wrong with a link (unknown, altered, run out, revoked, of a ticket brought
in by mistake, asked for too often) is the same 404, byte for byte.
"""

from django.http import HttpRequest, HttpResponse
from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.views.decorators.http import require_GET

from shop.desk import slip_limits
from shop.intake.queries import turn_of
from shop.intake.slip_models import SlipLink
from shop.people.access import public


@public
@require_GET
def slip(request: HttpRequest, link_id: str) -> HttpResponse:
    link = slip_limits.link_of(request.META["REMOTE_ADDR"], link_id, timezone.now())
    return not_here() if link is None else _page(link)


def _page(link: SlipLink) -> HttpResponse:
    ticket = link.ticket
    with (
        translation.override(ticket.customer.language),
        timezone.override(link.shop.zone),
    ):
        turn = turn_of(ticket, timezone.now())
        context = {"shop": link.shop, "ticket": ticket, "turn": turn}
        return private(render_to_string("slip/page.html", context))


def not_here() -> HttpResponse:
    return private(render_to_string("slip/not_here.html"), status=404)


def private(body: str, *, status: int = 200) -> HttpResponse:
    """Kept nowhere, found by no one, its address told to nobody.

    Rendered without the request: nothing of who asks can be in it.
    """
    response = HttpResponse(body, status=status)
    response["Cache-Control"] = "no-store"
    response["Referrer-Policy"] = "no-referrer"
    response["X-Robots-Tag"] = "noindex, nofollow"
    return response
