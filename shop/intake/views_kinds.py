"""Pages that end an intake or decide on it; parking in two taps."""

from datetime import datetime
from typing import Any

from django.http import HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
)

from shop.intake import arriving, presets, services, words
from shop.intake.forms import IntakeForm
from shop.intake.forms_acts import DataSafeForm, ParkForm, WarrantyForm
from shop.intake.forms_kinds import FinishForm, UnpackForm
from shop.intake.forms_shown import done, typed
from shop.intake.models import Answer, Ticket
from shop.intake.pages import act_page
from shop.intake.place import at_ticket
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.records.errors import Refused
from shop.records.idempotency import forget_key, once

BENCH = "bench"


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
@at_ticket
def park(request: AtWork, ticket: Ticket) -> HttpResponse:
    """Set aside: one tap on a usual reason, or a reason and time of its own."""
    now = timezone.now()
    preset = presets.PRESETS.get(request.POST.get("preset", ""))
    form = ParkForm(_as_typed(preset, now) if preset else typed(request))

    def act() -> object:
        return services.ticket_park(ticket=ticket, by=request.user, **form.cleaned_data)

    if done(form, act):
        return _back(request, ticket)
    offers = [
        (one.reason, words.REASONS[one.reason], _whom(one.party), until)
        for one, until in presets.offered(now)
    ]
    context = {
        "ticket": ticket,
        "form": form,
        "offers": offers,
        "came_from": BENCH if _is_from_bench(request) else "",
    }
    status = 422 if form.is_bound else 200
    return render(request, "intake/park.html", context, status=status)


def _whom(party: str) -> words.Text:
    """Whom it waits for; what only rests waits for nobody."""
    return "" if party == "resting" else words.PARTIES[party]


def _as_typed(preset: presets.Preset, now: datetime) -> dict[str, str]:
    until = timezone.localtime(presets.ends(preset, now))
    return {
        "waits_for": preset.party,
        "because": preset.reason,
        "until": until.strftime("%Y-%m-%dT%H:%M"),
    }


def _is_from_bench(request: AtWork) -> bool:
    asked = request.POST if request.method == "POST" else request.GET
    return asked.get("from") == BENCH and TECHNICIAN in request.held_roles


def _back(request: AtWork, ticket: Ticket) -> HttpResponseRedirect:
    """At the bench the next job is wanted, elsewhere the ticket."""
    if _is_from_bench(request):
        return redirect(reverse("diagnostics:bench"))
    return redirect(ticket)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_POST
@once
@at_ticket
def answer(request: AtWork, ticket: Ticket) -> HttpResponse:
    """One thing that a quick intake left out, by one tap; then the next."""
    refused = None
    try:
        services.intake_answer(
            ticket=ticket,
            by=request.user,
            question=request.POST.get("question", ""),
            answer=request.POST.get("answer", ""),
        )
    except Refused as refusal:
        refused = refusal
    if request.htmx:
        back = _back_to(request)
        forget_key(request)
        context = arriving.asked_of(ticket) | {"ticket": ticket, "refused": refused}
        return render(
            request, "intake/_ask.html", context | {"back": back, "is_asked_on": True}
        )
    if refused is not None:
        context = {"ticket": ticket, "refused": refused}
        return render(request, "intake/not_done.html", context, status=422)
    return redirect(_back_to(request) or ticket)


def _back_to(request: AtWork) -> str:
    """The page where it was tapped, if it is one of ours."""
    back = request.POST.get("back", "")
    return back if url_has_allowed_host_and_scheme(back, allowed_hosts=None) else ""


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
@at_ticket
def finish(request: AtWork, ticket: Ticket) -> HttpResponse:
    """What a quick intake left out."""
    form = FinishForm(
        typed(request),
        currency=ticket.currency,
        initial={
            "serial": ticket.device.serial,
            "year_made": ticket.device.year_made,
            "fee_agreed": ticket.fee_agreed,
            "triage": ticket.triage.split(),
            "goal": ticket.goal,
            "pre_approved": ticket.pre_approved,
        },
    )

    def act() -> object:
        return services.intake_finish(
            ticket=ticket, by=request.user, **form.finishing()
        )

    heading = _("Finish the intake")
    return _rest_page(request, ticket, form, act, heading=heading)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
@at_ticket
def unpack(request: AtWork, ticket: Ticket) -> HttpResponse:
    """Declared against arrived."""
    form = UnpackForm(typed(request), currency=ticket.currency)

    def act() -> object:
        return services.parcel_unpack(
            ticket=ticket, by=request.user, **form.unpacking()
        )

    return _rest_page(request, ticket, form, act, heading=_("Unpack the parcel"))


def _rest_page(
    request: AtWork, ticket: Ticket, form: IntakeForm, act: Any, *, heading: Any
) -> HttpResponse:
    if done(form, act):
        return redirect(ticket)
    context = {
        "ticket": ticket,
        "form": form,
        "heading": heading,
        "brought": arriving.brought_with(ticket),
        "is_hot": ticket.hot_or_swollen in {Answer.YES, Answer.UNSURE},
    }
    status = 422 if form.is_bound else 200
    return render(request, "intake/rest.html", context, status=status)


@roles(TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
@at_ticket
def warranty(request: AtWork, ticket: Ticket) -> HttpResponse:
    """Covered or not, with the reason in writing."""
    form = WarrantyForm(typed(request))

    def act() -> object:
        return services.warranty_decide(
            ticket=ticket,
            by=request.user,
            is_covered=form.cleaned_data["is_covered"] == "yes",
            reason=form.cleaned_data["reason"],
        )

    return act_page(request, ticket, form, _("Covered by the warranty?"), act)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
@at_ticket
def data_safe(request: AtWork, ticket: Ticket) -> HttpResponse:
    form = DataSafeForm(typed(request))

    def act() -> object:
        return services.data_safe_record(
            ticket=ticket, by=request.user, **form.cleaned_data
        )

    button = _("The data is safe")
    return act_page(request, ticket, form, _("Data safe"), act, button=button)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
@at_ticket
def together(request: AtWork, ticket: Ticket) -> HttpResponse:
    """The tickets that came in together, under one slip."""
    context = {"ticket": ticket, "group": arriving.group_of(ticket)}
    return render(request, "intake/together.html", context)
