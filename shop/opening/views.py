"""The set-up, and what is still open on the first day."""

from typing import Any

from django.conf import settings
from django.contrib.auth import login
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_POST

from shop.opening import first_day as steps
from shop.opening import first_key, services
from shop.opening.asking import Asking, beginning, draft_of, filled_from
from shop.opening.countries import countries, likely, zone_of_machine
from shop.opening.sections import sections
from shop.people.access import OWNER, AtWork, before_the_shop, public, roles
from shop.records.errors import Refused
from shop.records.idempotency import once

DRAFT, PASSWORDS = "opening_draft", "first_passwords"


@before_the_shop
@public
@sensitive_post_parameters("password")
@require_http_methods(["GET", "POST"])
def set_up(request: HttpRequest) -> HttpResponse:
    """Some questions, each with its default; done once, with the first key."""
    if first_key.shop_exists():
        return redirect("desk:home")
    if key := request.GET.get("key"):
        if first_key.take(request, key):
            return redirect("opening:set_up")
        return render(request, "opening/no_key.html", {"is_old": True}, status=403)
    if not first_key.is_held(request):
        return render(request, "opening/no_key.html", status=403)
    if request.method == "POST":
        return _typed(request)
    return _page(request, Asking(None, None, _initial(request)))


def _typed(request: HttpRequest) -> HttpResponse:
    """Open the shop, or keep what was typed; or fill in from a country."""
    request.session[DRAFT] = draft_of(request.POST)
    then = request.POST.get("then", "open")
    if then == "keep":
        return HttpResponse(status=204)
    if then == "country":
        request.session[DRAFT] |= filled_from(request.POST.get("country", ""))
        return _page(request, Asking(None, None, _initial(request)), "country")
    asking = Asking(request.POST, request.FILES, _initial(request))
    opened = _opened(asking) if asking.is_valid() else None
    if opened is None:
        return _page(request, asking)
    del request.session[DRAFT]
    login(request, opened.owner, backend=settings.AUTHENTICATION_BACKENDS[0])
    request.session[PASSWORDS] = [
        {"username": name, "password": password}
        for name, password in opened.passwords.items()
    ]
    return redirect("opening:first_day")


def _opened(asking: Asking) -> services.Opened | None:
    try:
        with transaction.atomic():
            return services.shop_open(**asking.answers())
    except Refused as refused:
        asking.refuse(refused.field, str(refused))
        return None


def _initial(request: HttpRequest) -> dict[str, Any]:
    draft: dict[str, Any] = request.session.get(DRAFT, {})
    accepted = request.headers.get("Accept-Language", "")
    country = countries().get(draft.get("country", ""))
    return beginning(country or likely(accepted, zone_of_machine())) | draft


def _page(request: HttpRequest, asking: Asking, opened: str = "") -> HttpResponse:
    context = {
        "asking": asking,
        "needed": [
            asking.forms["name"]["name"],
            *(asking.forms["owner"][n] for n in ("your_name", "username", "password")),
        ],
        "also": asking.forms["owner"]["also"],
        "sections": sections(asking),
        "opened": opened,
        "is_wrong": any(form.errors for form in asking.forms.values()),
    }
    status = 422 if context["is_wrong"] else 200
    return render(request, "opening/set_up.html", context, status=status)


@roles(OWNER)
@require_http_methods(["GET"])
def first_day(request: AtWork) -> HttpResponse:
    """What is still open; once nothing is, the page is gone."""
    left = steps.steps_of(request.shop)
    passwords = request.session.pop(PASSWORDS, [])
    if not passwords and all(step.is_done for step in left):
        return redirect("opening:settings")
    context = {"steps": left, "passwords": passwords}
    return render(request, "opening/first_day.html", context)


@roles(OWNER)
@require_POST
@once
def step_done(request: AtWork) -> HttpResponse:
    """Something that the program can't see for itself was done."""
    try:
        steps.step_tick(
            shop=request.shop, by=request.user, code=request.POST.get("step", "")
        )
    except Refused as refused:
        context = {"steps": steps.steps_of(request.shop), "refused": refused}
        return render(request, "opening/first_day.html", context, status=422)
    return redirect("opening:first_day")
