"""What the pages about money have in common."""

from collections.abc import Callable

from django import forms
from django.http import HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.functional import Promise

from shop.intake.models import Ticket
from shop.people.access import AtWork
from shop.records.errors import Refused


def done(form: forms.Form, act: Callable[[], object]) -> bool:
    """Do the act; what it refuses stands beside the field where it belongs."""
    try:
        act()
    except Refused as refused:
        field = refused.field if refused.field in form.fields else None
        form.add_error(field, str(refused))
    return not form.errors


def typed(request: AtWork) -> QueryDict | None:
    return request.POST if request.method == "POST" else None


def act_page(
    request: AtWork,
    ticket: Ticket,
    form: forms.Form,
    heading: str | Promise,
    act: Callable[[], object],
) -> HttpResponse:
    """One small form: done, or shown (again, with what was typed)."""
    if form.is_bound and form.is_valid() and done(form, act):
        return redirect(ticket)
    return render(
        request,
        "billing/act.html",
        {"ticket": ticket, "form": form, "heading": heading},
        status=422 if form.is_bound else 200,
    )


def act_button(
    request: AtWork, ticket: Ticket, act: Callable[[], object]
) -> HttpResponse:
    """A button without a form: done, or said why not."""
    try:
        act()
    except Refused as refused:
        context = {"ticket": ticket, "refused": refused}
        return render(request, "billing/not_done.html", context, status=422)
    return redirect(ticket)


def pdf(body: bytes, name: str) -> HttpResponse:
    response = HttpResponse(body, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response
