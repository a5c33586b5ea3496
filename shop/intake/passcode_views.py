"""Pages of a ticket's passcode.

The two that hold one are not ``@once``: what was posted and answered would be kept to
compare with. Keeping the same twice changes nothing, and each look is a look.
"""

from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django.views.decorators.debug import (
    sensitive_post_parameters,
    sensitive_variables,
)
from django.views.decorators.http import require_http_methods, require_POST

from shop.intake import passcodes
from shop.intake.forms_shown import done, seen_anew, typed
from shop.intake.models import Ticket
from shop.intake.pages import act_button
from shop.intake.passcode_forms import PasscodeForm, ShowForm
from shop.intake.passcode_models import Passcode, PasscodeKind
from shop.intake.pattern_drawing import drawing
from shop.intake.place import at_ticket
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, fresh, roles
from shop.records.idempotency import once
from shop.records.sealed import Secret

SHOWN_SECONDS = 60


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@sensitive_post_parameters("passcode")
@require_http_methods(["GET", "POST"])
@at_ticket
def passcode(request: AtWork, ticket: Ticket) -> HttpResponse:
    """Ask whether it goes without, else type it in."""
    row = Passcode.objects.filter(ticket=ticket).first()
    form = _form(typed(request), row)
    if done(form, lambda: _keep(request, ticket, form)):
        return redirect(_after(request, ticket))
    if form.is_bound and row is not None:
        form = seen_anew(form, {"seen": row.version})
    context = {"ticket": ticket, "form": form, "row": row, "pattern": drawing()}
    status = 422 if form.is_bound else 200
    return render(request, "intake/passcode.html", context, status=status)


def _form(data: QueryDict | None, row: Passcode | None) -> PasscodeForm:
    initial = {"kind": PasscodeKind.NONE, "seen": 0}
    if row is not None:
        initial = {"kind": PasscodeKind(row.kind), "seen": row.version}
    return PasscodeForm(data, initial=initial)


@sensitive_variables()
def _keep(request: AtWork, ticket: Ticket, form: PasscodeForm) -> Passcode:
    given = form.cleaned_data
    return passcodes.passcode_keep(
        ticket=ticket,
        by=request.user,
        kind=given["kind"],
        text=given["passcode"],
        seen=given["seen"] or 0,
    )


def _after(request: AtWork, ticket: Ticket) -> str:
    if request.GET.get("then") == "print":
        return reverse("intake:job_slip", args=[ticket.number])
    return ticket.get_absolute_url()


@roles(TECHNICIAN)
@fresh
@require_http_methods(["GET", "POST"])
@at_ticket
@sensitive_variables("shown")
def passcode_show(request: AtWork, ticket: Ticket) -> HttpResponse:
    """Say why, and see it for a minute."""
    form, shown = ShowForm(typed(request)), list[Secret]()
    if done(form, lambda: shown.append(_look(request, ticket, form))):
        return _shown(request, ticket, shown[0])
    context = {
        "ticket": ticket,
        "form": form,
        "heading": _("See the passcode"),
        "button": _("Show it for a minute"),
    }
    status = 422 if form.is_bound else 200
    return render(request, "intake/act.html", context, status=status)


@sensitive_variables()
def _look(request: AtWork, ticket: Ticket, form: ShowForm) -> Secret:
    reason = form.cleaned_data["reason"]
    return passcodes.passcode_show(ticket=ticket, by=request.user, reason=reason)


@sensitive_variables("text", "context")
def _shown(request: AtWork, ticket: Ticket, text: Secret) -> HttpResponse:
    """The page leaves by itself: by its header, and sooner where script runs."""
    kind = Passcode.objects.get(ticket=ticket).kind
    context = {
        "ticket": ticket,
        "text": text,
        "pattern": drawing(text) if kind == PasscodeKind.PATTERN else None,
        "seconds": SHOWN_SECONDS,
    }
    response = render(request, "intake/passcode_shown.html", context)
    response["Refresh"] = f"{SHOWN_SECONDS}; url={ticket.get_absolute_url()}"
    return response


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_POST
@once
@at_ticket
def passcode_erase(request: AtWork, ticket: Ticket) -> HttpResponse:
    return act_button(
        request,
        ticket,
        lambda: passcodes.passcode_erase(ticket=ticket, by=request.user),
    )
