"""The page that a customer's phone gets by the address on the slip.

Whatever is wrong with a link (unknown, altered, run out, revoked, of a ticket brought
in by mistake, asked for too often) is the same 404, byte for byte.
"""

from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.views.decorators.csrf import csrf_exempt

from shop.desk import slip_answers, slip_limits, slip_looks
from shop.desk.slip_page import page_of
from shop.intake.slip_models import SlipLink
from shop.people.access import public

MOST_TYPED = 500


# No cookie opens anything here, so none can be abused: who knows the address may
# answer, and what keeps an answer is a signed word (``slip_answers``). A browser that
# tells no other site where it comes from sends no origin to check either.
@csrf_exempt
@public
def slip(request: HttpRequest, link_id: str) -> HttpResponse:
    link = slip_limits.link_of(request.META["REMOTE_ADDR"], link_id, timezone.now())
    if link is None or request.method not in {"GET", "HEAD", "POST"}:
        return not_here()
    language = link.ticket.customer.language
    with translation.override(language), timezone.override(link.shop.zone):
        answer = _posted(request, link) if request.method == "POST" else _page(link)
        answer["Content-Language"] = translation.get_language() or language
        return answer


def _posted(request: HttpRequest, link: SlipLink) -> HttpResponse:
    """A look told by the page, a question asked once more, or an answer kept."""
    if "looked" in request.POST:
        slip_looks.looked(link.ticket)
        return private("", status=204)
    notice = _kept(request, link)
    if notice:
        return _page(link, notice=notice, status=409)
    if notice is not None:
        return _back(request)
    asked = slip_answers.ask(link, request.POST.get("answer", ""))
    if asked is None:
        return _back(request)
    slip_looks.looked(link.ticket)
    context = {"shop": link.shop, "ticket": link.ticket, "asked": asked}
    return private(render_to_string("slip/asked.html", context | _surroundings()))


def _kept(request: HttpRequest, link: SlipLink) -> str | None:
    """What was answered or asked for, kept: what went wrong; None where nothing was."""
    if word := request.POST.get("word", "")[:MOST_TYPED]:
        return slip_answers.keep(link, word, request.POST.get("reason", ""))
    if word := request.POST.get("anew", "")[:MOST_TYPED]:
        slip_looks.looked(link.ticket)
        return slip_answers.ask_anew(link, word)
    return None


def _page(link: SlipLink, *, notice: str = "", status: int = 200) -> HttpResponse:
    context = page_of(link.ticket, timezone.now()) | _surroundings()
    context |= {"notice": notice, "until": link.expires_at}
    context["anew"] = slip_answers.word_for_anew(link, context["offer"])
    return private(render_to_string("slip/page.html", context), status=status)


def _surroundings() -> dict[str, Any]:
    return {"is_demo": settings.IS_DEMO}


def _back(request: HttpRequest) -> HttpResponse:
    """To the page itself, by a GET: a reload answers nothing again."""
    return _closed_off(HttpResponseRedirect(request.path, status=303))


def not_here() -> HttpResponse:
    body = render_to_string("slip/not_here.html", _surroundings())
    return private(body, status=404)


def private(body: str, *, status: int = 200) -> HttpResponse:
    """Rendered without the request: nothing of who asks can be in it."""
    return _closed_off(HttpResponse(body, status=status))


def _closed_off(response: HttpResponse) -> HttpResponse:
    """Kept nowhere, found by no one, its address told to nobody, no log either."""
    response._has_been_logged = True  # type: ignore[attr-defined]  # Django's own mark
    response["Cache-Control"] = "no-store"
    response["Referrer-Policy"] = "no-referrer"
    response["X-Robots-Tag"] = "noindex, nofollow"
    return response
