"""Pages about one ticket: a small form, a button, a paper."""

from collections.abc import Callable, Mapping

from django import forms
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.functional import Promise

from shop.intake.forms_shown import done
from shop.intake.models import Ticket
from shop.people.access import AtWork
from shop.records.errors import Refused

Text = str | Promise


def act_page(
    request: AtWork,
    ticket: Ticket,
    form: forms.Form,
    heading: Text,
    act: Callable[[], object],
    *,
    button: Text = "",
    template: str = "intake/act.html",
    more: Mapping[str, object] | None = None,
) -> HttpResponse:
    """One small form: done, or shown (again, with what was typed).

    ``more`` is what a template of its own shows beside the form.
    """
    if done(form, act):
        return redirect(ticket)
    context = {"ticket": ticket, "form": form, "heading": heading, "button": button}
    context |= more or {}
    status = 422 if form.is_bound else 200
    return render(request, template, context, status=status)


def act_button(
    request: AtWork, ticket: Ticket, act: Callable[[], object]
) -> HttpResponse:
    """A button without a form: done, or said why not."""
    try:
        act()
    except Refused as refused:
        context = {"ticket": ticket, "refused": refused}
        return render(request, "intake/not_done.html", context, status=422)
    return redirect(ticket)


def paper(body: bytes, name: str) -> HttpResponse:
    """A PDF shown in the browser, named as it will be kept."""
    response = HttpResponse(body, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response
