"""An intake being typed is kept; another kind takes over what stands in it."""

from django.forms import Field
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_POST

from shop.intake import drafts, live_slip
from shop.intake.counter import kind_of
from shop.intake.forms_kinds import FORMS
from shop.people.access import FRONT_DESK, OWNER, AtWork, roles
from shop.records.idempotency import once

WITH_SLIP = "With-Slip"


@roles(FRONT_DESK, OWNER)
@require_POST
def draft(request: AtWork) -> HttpResponse:
    """Keep what the form holds: asked by the page while one types, or by a tab.

    Not ``once``: the same saved twice is the same, and a tab and the intake itself are
    posts of one form with one key.
    """
    key = drafts.key_of(request.POST.get("draft", ""))
    if key is None:
        return HttpResponse(status=400)
    to = request.POST.get("intake_to", "")
    row = drafts.draft_save(
        shop=request.shop,
        person=request.user,
        station=request.station,
        key=key,
        typed=request.POST,
        asked=_asked(request),
        kind=to if to in FORMS else kind_of(request),
    )
    if to not in FORMS:
        return _kept(request)
    kept = {"draft": str(key)} if row else {}
    if paper := request.POST.get("paper"):
        kept["paper"] = paper
    page = reverse("intake:ticket_new")
    return redirect(f"{page}?{urlencode({'intake': to} | kept)}")


def _kept(request: AtWork) -> HttpResponse:
    """Nothing, or the slip so far where the page has room to show it."""
    if WITH_SLIP not in request.headers:
        return HttpResponse(status=204)
    return HttpResponse(live_slip.drawn(request))


def _asked(request: AtWork) -> dict[str, Field]:
    """The fields that stood on the page: boxes that are not ticked are not sent."""
    form = FORMS[kind_of(request)]
    return {n: f for n, f in form.base_fields.items() if n not in form.leaves_out}


@roles(FRONT_DESK, OWNER)
@require_POST
@once
def draft_drop(request: AtWork) -> HttpResponse:
    """Throw an intake away that was begun and is not wanted."""
    key = drafts.key_of(request.POST.get("draft", ""))
    if key is None:
        return HttpResponse(status=400)
    drafts.draft_drop(
        shop=request.shop, person=request.user, station=request.station, key=key
    )
    return redirect("intake:ticket_new")
