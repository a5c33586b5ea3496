"""The weekly sheet: this week so far, the sheets that are kept, who is sent them."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.translation import get_language, gettext_lazy
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from shop.intake.pages import paper
from shop.office.weekly import papers, queries, services, telling
from shop.office.weekly.weeks import Week, week_of
from shop.people.access import OWNER, AtWork, roles
from shop.records.errors import Refused
from shop.records.idempotency import once

SHOWN = 60  # sheets: more than a year


class WishForm(forms.Form):
    is_wished = forms.BooleanField(
        label=gettext_lazy("Send it to me by e-mail every Monday"), required=False
    )


@roles(OWNER)
@require_GET
def weekly(request: AtWork) -> HttpResponse:
    wished = queries.is_wished(request.shop, request.user)
    return _page(request, WishForm(initial={"is_wished": wished}))


def _page(request: AtWork, form: WishForm) -> HttpResponse:
    shop, now = request.shop, timezone.now()
    week = _this_week(request)
    sheets = shop.weekly_sheets.defer("pdf")[:SHOWN]
    context: dict[str, Any] = {
        "sentence": telling.sentence(shop, week, now),
        "counts": telling.counts(shop, now),
        "sheets": [(sheet, papers.heading(Week(sheet.monday))) for sheet in sheets],
        "form": form,
    }
    status = 422 if form.errors else 200
    return render(request, "office/weekly.html", context, status=status)


def _this_week(request: AtWork) -> Week:
    return week_of(timezone.localdate(timezone=request.shop.zone))


@roles(OWNER)
@require_GET
def so_far(request: AtWork) -> HttpResponse:
    """This week's sheet as it would be now; not kept."""
    week = _this_week(request)
    body = papers.sheet(request.shop, week, timezone.now(), get_language() or "en")
    return paper(body, f"week-{week.monday}-so-far")


@roles(OWNER)
@require_GET
def sheet_pdf(request: AtWork, sheet_id: int) -> HttpResponse:
    sheet = get_object_or_404(request.shop.weekly_sheets, pk=sheet_id)
    return paper(bytes(sheet.pdf), f"week-{sheet.monday}")


@roles(OWNER)
@require_POST
@once
def wish(request: AtWork) -> HttpResponse:
    form = WishForm(request.POST)
    form.is_valid()
    try:
        services.wish_set(shop=request.shop, by=request.user, **form.cleaned_data)
    except Refused as refused:
        form.add_error(refused.field, str(refused))
        return _page(request, form)
    messages.success(request, _("Kept."))
    return redirect("office:weekly")


@roles(OWNER)
@require_POST
@once
def send(request: AtWork) -> HttpResponse:
    try:
        sheet = services.sheet_send(shop=request.shop, by=request.user)
    except Refused as refused:
        form = WishForm({})
        form.is_valid()
        form.add_error(refused.field, str(refused))
        return _page(request, form)
    said = {"week": papers.heading(Week(sheet.monday)), "to": request.user.email}
    messages.success(request, _("%(week)s goes to %(to)s.") % said)
    return redirect("office:weekly")
