"""The owner's pages of people: who works here, what they may do, what opens for them.

What is told once (a first password, a badge's code) stands in the answer itself and is
kept nowhere: those views are not ``once``, which would keep it in the database.
"""

from typing import Any

from django.contrib import messages
from django.db import transaction
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
)

from shop.people import badges, gates, pins, queries, services
from shop.people.access import OWNER, AtWork, fresh, roles
from shop.people.forms import PersonForm, RolesForm, StandingForm
from shop.people.models import Badge, Membership, Person
from shop.people.sign_in import at_work
from shop.records.errors import Refused
from shop.records.idempotency import once


@roles(OWNER)
@require_GET
@fresh
def people(request: AtWork) -> HttpResponse:
    context = {
        "people": queries.people_of(request.shop),
        "left": queries.left_of(request.shop),
    }
    return render(request, "people/people.html", context)


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@fresh
def person_new(request: AtWork) -> HttpResponse:
    start = {"language": request.user.language}
    form = PersonForm(request.POST if request.method == "POST" else None, initial=start)
    if form.is_bound and form.is_valid():
        password = services.password_made()
        person = services.person_join(
            shop=request.shop,
            password=password,
            by=request.user,
            must_change_password=True,
            **form.cleaned_data,
        )
        return told_once(request, person, password)
    status = 422 if form.is_bound else 200
    return render(request, "people/person_new.html", {"form": form}, status=status)


def told_once(request: AtWork, person: Person, password: str) -> HttpResponse:
    context = {"person": person, "password": password}
    return render(request, "people/told_once.html", context)


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@fresh
@once
def person(request: AtWork, person_id: int) -> HttpResponse:
    """One person: roles from now on, and what may be taken off or given anew."""
    whom = _person_or_404(request, person_id)
    held = Membership.objects.filter(shop=request.shop, person=whom)
    start = {
        "roles": [m.role for m in held],
        "ends_on": next((m.ends_on for m in held if m.ends_on), None),
        "language": whom.language,
    }
    form = StandingForm(
        request.POST if request.method == "POST" else None, initial=start
    )
    if form.is_bound and form.is_valid():
        try:
            _change(request, whom, form)
        except Refused as refused:
            form.add_error("roles", str(refused))
        else:
            messages.success(request, _("Kept."))
            return redirect("people:person", person_id=whom.pk)
    status = 422 if form.is_bound else 200
    return render(request, "people/person.html", _page_of(whom, form), status=status)


@transaction.atomic
def _change(request: AtWork, whom: Person, form: StandingForm) -> None:
    """Raises ``Refused`` where the shop would lose its last owner."""
    services.roles_change(
        shop=request.shop,
        person=whom,
        roles=form.cleaned_data["roles"],
        ends_on=form.cleaned_data["ends_on"],
        by=request.user,
    )
    if language := form.cleaned_data["language"]:
        services.language_change(person=whom, language=language)


def _page_of(whom: Person, form: RolesForm) -> dict[str, Any]:
    return {
        "person": whom,
        "form": form,
        "has_factor": gates.has_factor(whom),
        "has_pin": hasattr(whom, "pin"),
        "is_pin_asleep": pins.is_asleep(whom),
        "badges": whom.badges.filter(ended_at=None),
    }


@roles(OWNER)
@require_POST
@fresh
def password_new(request: AtWork, person_id: int) -> HttpResponse:
    """A new first password, told once. Whoever left comes back by it."""
    whom = _person_or_404(request, person_id)
    is_back = not Membership.objects.filter(person=whom).exists()
    form = RolesForm(request.POST)
    if "sure" not in request.POST or (is_back and not form.is_valid()):
        return render(request, "people/person.html", _page_of(whom, form), status=422)
    password = services.password_made()
    given: dict[str, Any] = {
        "shop": request.shop,
        "person": whom,
        "password": password,
        "by": request.user,
    }
    if is_back:
        roles, ends_on = (form.cleaned_data[key] for key in ("roles", "ends_on"))
        services.person_return(roles=roles, ends_on=ends_on, **given)
    else:
        services.password_give(**given)
    return told_once(request, whom, password)


@roles(OWNER)
@require_POST
@fresh
@once
def factors_reset(request: AtWork, person_id: int) -> HttpResponse:
    whom = _person_or_404(request, person_id)
    services.factors_reset(shop=request.shop, person=whom, by=request.user)
    messages.success(request, _("The second factors are off, and the sessions ended."))
    return redirect("people:person", person_id=whom.pk)


@roles(OWNER)
@require_POST
@fresh
def badge_new(request: AtWork, person_id: int) -> HttpResponse:
    """The card as a PDF, this once."""
    whom = _person_or_404(request, person_id)
    if "sure" not in request.POST or not whom.is_active:
        form = RolesForm(None)
        return render(request, "people/person.html", _page_of(whom, form), status=422)
    badge, code = badges.badge_make(person=whom, shop=request.shop, by=request.user)
    response = HttpResponse(badges.card(badge, code), content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="badge-{badge.pk}.pdf"'
    return response


@at_work
@require_POST
@once
def badge_end(request: AtWork) -> HttpResponse:
    """One tap ends a lost badge: the holder's own, or the owner anybody's.

    Not fresh, since it only takes away, and a lost badge can't wait.
    """
    number = request.POST.get("badge", "")
    shown = Badge.objects.filter(shop=request.shop)
    if OWNER not in request.held_roles:
        shown = shown.filter(person=request.user)
    badge = get_object_or_404(shown, pk=number if number.isdigit() else 0)
    badges.badge_end(badge=badge, by=request.user)
    messages.success(request, _("That badge opens nothing any more."))
    if badge.person_id == request.user.pk:
        return redirect("mfa_index")
    return redirect("people:person", person_id=badge.person_id)


def _person_or_404(request: AtWork, person_id: int) -> Person:
    found = queries.person_here(request.shop, person_id)
    if found is None:
        raise Http404
    return found
