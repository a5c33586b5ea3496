"""The till: what should be in it, cash in and out, the day ended and signed."""

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from shop.billing.models import Payment
from shop.books import services, sheets, till
from shop.books.forms import CashMoveForm, CountForm
from shop.intake.forms_shown import typed
from shop.intake.pages import paper
from shop.money import Money
from shop.people.access import AUDITOR, FRONT_DESK, OWNER, AtWork, roles
from shop.records.errors import Refused
from shop.records.idempotency import once

DAYS_SHOWN = 14


@roles(FRONT_DESK, OWNER)
@require_GET
def till_now(request: AtWork) -> HttpResponse:
    state = till.now(request.shop)
    days = request.shop.cash_days.select_related("by").order_by("-serial")
    context = {
        "till": state,
        "methods": _methods(state),
        "days": days[:DAYS_SHOWN],
    }
    return render(request, "books/till.html", context)


def _methods(state: till.Till) -> list[tuple[str, Money, till.Newest[Payment]]]:
    """Each way of paying with its sum and its newest payments, once it is counted."""
    names = dict(Payment.Method.choices)
    return [
        (str(names.get(how, how)), total, state.newest_payments(how))
        for how, total in (state.by_method.items() if state.serial else ())
    ]


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@once
def cash_move(request: AtWork) -> HttpResponse:
    form = CashMoveForm(typed(request), currency=request.shop.currency)
    if form.is_bound and form.is_valid():
        try:
            services.cash_move(shop=request.shop, by=request.user, **form.cleaned_data)
        except Refused as refused:
            form.add_error(refused.field, str(refused))
        else:
            messages.success(request, _("Kept."))
            return redirect("books:till")
    status = 422 if form.is_bound else 200
    context = {"form": form, "till": till.now(request.shop)}
    return render(request, "books/cash_move.html", context, status=status)


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@once
def day_end(request: AtWork) -> HttpResponse:
    state = till.now(request.shop)
    form = CountForm(
        typed(request), currency=request.shop.currency, initial={"after": state.serial}
    )
    if form.is_bound and form.is_valid():
        try:
            day = services.cash_day_end(
                shop=request.shop,
                by=request.user,
                counted=form.cleaned_data["counted"],
                reason=form.cleaned_data["reason"],
                after=form.cleaned_data["after"],
                pieces=form.pieces,
            )
        except Refused as refused:
            form.add_error(refused.field, str(refused))
        else:
            said = {"sum": day.counted, "currency": day.currency}
            messages.success(
                request,
                _("Counted and signed: %(sum)s %(currency)s are carried over.") % said,
            )
            return redirect("books:till")
    status = 422 if form.is_bound else 200
    context = {"form": form, "till": state, "is_first": state.serial == 0}
    return render(request, "books/day_end.html", context, status=status)


@roles(FRONT_DESK, OWNER, AUDITOR)
@require_GET
def day_pdf(request: AtWork, serial: int) -> HttpResponse:
    day = request.shop.cash_days.filter(serial=serial).select_related("by").first()
    if day is None:
        raise Http404(str(serial))
    return paper(sheets.day_sheet(day), f"day-end-{day.serial}")
