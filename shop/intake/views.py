"""Acts on one ticket: its story, its turn, its things."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import (
    require_http_methods,
    require_POST,
)

from shop.intake import places, promise_words, promising, services
from shop.intake.forms import StoryForm
from shop.intake.forms_acts import DeviceForm, OutcomeForm, PromiseForm, ToldForm
from shop.intake.forms_shown import both, done, seen_anew, typed
from shop.intake.models import Channel, Ticket
from shop.intake.pages import act_button, act_page
from shop.intake.place import at_ticket
from shop.intake.place_forms import PlaceForm
from shop.intake.story import current_notes
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.records.errors import StaleEdit
from shop.records.idempotency import once


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
@at_ticket
def story(request: AtWork, ticket: Ticket) -> HttpResponse:
    """Told, found, done, proved: four short texts on one page."""
    form = StoryForm(typed(request), notes=current_notes(ticket))
    context: dict[str, Any] = {"ticket": ticket, "form": form, "heading": _("Story")}
    try:
        if done(form, lambda: _story_keep(request, ticket, form)):
            return redirect(ticket)
    except StaleEdit as stale:
        context["stale"] = both(form, stale)
        notes = current_notes(ticket)
        seen_anew(form, {f"seen_{part}": note.pk for part, note in notes.items()})
    status = 422 if form.is_bound else 200
    return render(request, "intake/act.html", context, status=status)


def _story_keep(request: AtWork, ticket: Ticket, form: StoryForm) -> None:
    services.story_rewrite(
        ticket=ticket, by=request.user, texts=form.texts(), seen=form.seen()
    )


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
@at_ticket
def device(request: AtWork, ticket: Ticket) -> HttpResponse:
    """Kind, model, numbers and year of the machine, to put right."""
    row = ticket.device
    facts = {name: getattr(row, name) for name in services.PUT_RIGHT}
    form = DeviceForm(typed(request), initial=facts | {"version": row.version})
    context: dict[str, Any] = {"ticket": ticket, "form": form, "heading": _("Device")}
    try:
        if done(form, lambda: _device_change(request, ticket, form)):
            return redirect(ticket)
    except StaleEdit as stale:
        context["stale"] = both(form, stale)
        row.refresh_from_db()
        seen_anew(form, {"version": row.version})
    status = 422 if form.is_bound else 200
    return render(request, "intake/act.html", context, status=status)


def _device_change(request: AtWork, ticket: Ticket, form: DeviceForm) -> None:
    facts = form.cleaned_data | {"version": form.cleaned_data["version"] or 0}
    services.device_change(ticket=ticket, by=request.user, **facts)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_POST
@once
@at_ticket
def unpark(request: AtWork, ticket: Ticket) -> HttpResponse:
    return act_button(
        request,
        ticket,
        lambda: services.ticket_unpark(ticket=ticket, by=request.user),
    )


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
@at_ticket
def told(request: AtWork, ticket: Ticket) -> HttpResponse:
    usual = ticket.customer.channel
    by = Channel.PHONE if usual == Channel.NONE else usual
    form = ToldForm(typed(request), initial={"channel": by})

    def act() -> object:
        return services.customer_told(
            ticket=ticket, by=request.user, **form.cleaned_data
        )

    return act_page(request, ticket, form, _("Told the customer"), act)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
@at_ticket
def promise(request: AtWork, ticket: Ticket) -> HttpResponse:
    found = promising.suggestion_of(ticket, timezone.now())
    initial = {"promise": timezone.localtime(found.by)} if found else {}
    form = PromiseForm(typed(request), initial=initial)
    form.fields["promise"].help_text = promise_words.suggested(found)

    def act() -> object:
        return services.promise_make(
            ticket=ticket, by=request.user, **form.cleaned_data
        )

    return act_page(request, ticket, form, _("Promise"), act)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
@at_ticket
def outcome(request: AtWork, ticket: Ticket) -> HttpResponse:
    form = OutcomeForm(typed(request))

    def act() -> object:
        return services.outcome_record(
            ticket=ticket, by=request.user, **form.cleaned_data
        )

    return act_page(request, ticket, form, _("How it ended"), act)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
@at_ticket
def thing_move(request: AtWork, ticket: Ticket, tag: int) -> HttpResponse:
    thing = get_object_or_404(ticket.things, tag=tag)
    form = PlaceForm(typed(request), places=places.of(request.shop))

    def act() -> object:
        return services.thing_move(thing=thing, by=request.user, **form.cleaned_data)

    return act_page(request, ticket, form, _("Put at a place"), act)


@roles(FRONT_DESK, OWNER)
@require_POST
@once
@at_ticket
def thing_return(request: AtWork, ticket: Ticket, tag: int) -> HttpResponse:
    thing = get_object_or_404(ticket.things, tag=tag)
    return act_button(
        request, ticket, lambda: services.thing_return(thing=thing, by=request.user)
    )
