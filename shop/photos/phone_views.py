"""The page that a phone gets by its link: photos go in, nothing comes out.

Whatever is wrong with a link (unknown, of another kind, run out, ended, of a closed
ticket, asked for too often) is the same 404.
"""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from shop.people.access import public
from shop.photos import limits, links, receiving
from shop.photos.forms import SideForm
from shop.photos.models import Link
from shop.photos.receiving import Received, Where
from shop.records.idempotency import key_of, refusal


@public
@require_http_methods(["GET", "POST"])
def phone(request: HttpRequest, token: str) -> HttpResponse:
    link = _link_or_404(request, token)
    if request.method != "POST":
        return _page(request, link)
    if not key_of(request):
        return _private(refusal(request, "key_missing", status=400))
    where = Where(by=link.made_by, ticket=link.ticket, link=link)
    received = receiving.receive(request, where)
    if receiving.is_script(request):
        return _private(receiving.for_script(received))
    return _page(request, link, received=received)


def _link_or_404(request: HttpRequest, token: str) -> Link:
    address = request.META["REMOTE_ADDR"]
    link = None if links.guesses(address) else links.link_of(token, timezone.now())
    if link is None:
        links.guessed(address)
        raise Http404
    return link


def _page(
    request: HttpRequest, link: Link, *, received: Received | None = None
) -> HttpResponse:
    context = {
        "number": link.ticket.number,
        "until": timezone.localtime(link.until, link.ticket.shop.zone),
        "count": link.photos.filter(erased_at=None).count(),
        "form": SideForm(request.POST if received else None),
        "received": received,
        "limits": limits,
        "most_megabytes": limits.MOST_BYTES // limits.MEGA,
    }
    status = 422 if received and received.refused else 200
    return _private(render(request, "photos/phone.html", context, status=status))


def _private(response: HttpResponse) -> HttpResponse:
    """Kept nowhere, found by no one, its address told to nobody.

    Not ``no-referrer``: browsers then send no origin with a form either, and the
    check against forged forms needs it. ``strict-origin`` never tells the path.
    """
    response["Cache-Control"] = "no-store"
    response["Referrer-Policy"] = "strict-origin"
    response["X-Robots-Tag"] = "noindex, nofollow"
    return response
