"""A stock count in two steps: what lies there, then why it differs."""

from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext
from django.views.decorators.http import require_http_methods

from shop.billing import services
from shop.billing.models import StockItem
from shop.billing.shelf import listing
from shop.billing.shelf.forms import MOST
from shop.billing.shelf_models import StockCount
from shop.people.access import OWNER, TECHNICIAN, AtWork, roles
from shop.records.errors import Refused
from shop.records.idempotency import once

AT_ONCE = 60


class CountForm(forms.Form):
    """One part. What should be there is asked for only after it was counted."""

    counted = forms.IntegerField(
        label=gettext_lazy("Counted"), min_value=0, max_value=MOST, required=False
    )
    expected = forms.IntegerField(min_value=0, required=False, widget=forms.HiddenInput)
    reason = forms.ChoiceField(
        label=gettext_lazy("Why"),
        choices=[("", gettext_lazy("say why")), *StockCount.Reason.choices[1:]],
        required=False,
    )


@dataclass(frozen=True)
class Line:
    item: StockItem
    form: CountForm

    @property
    def counted(self) -> int | None:
        value: int | None = self.form.cleaned_data.get("counted")
        return value

    @property
    def difference(self) -> int:
        return (self.counted or 0) - self.item.on_hand


@roles(TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
def stock_count(request: AtWork) -> HttpResponse:
    """Nothing tells what should be there until it was counted."""
    asked = request.GET.get("q", "").strip()[:80]
    items = list(listing.found(request.shop, asked)[: AT_ONCE + 1])
    context: dict[str, Any] = {"asked": asked, "is_cut": len(items) > AT_ONCE}
    items = items[:AT_ONCE]
    lines = [Line(item, form_of(request, item)) for item in items]
    if request.method != "POST":
        return _blind(request, context, lines)
    valid = [line.form.is_valid() for line in lines]
    if not all(valid):
        return _blind(request, context, lines)
    counted = [line for line in lines if line.counted is not None]
    if not counted:
        context["nothing"] = True
        return _blind(request, context, lines)
    if request.POST.get("step") == "keep" and _kept(request, counted):
        text = ngettext("%(n)d part counted.", "%(n)d parts counted.", len(counted))
        messages.success(request, text % {"n": len(counted)})
        return redirect("billing:stock")
    return _compared(request, context, counted)


def form_of(request: AtWork, item: StockItem) -> CountForm:
    data = request.POST if request.method == "POST" else None
    return CountForm(data, prefix=f"i{item.pk}")


def _blind(request: AtWork, context: dict[str, Any], lines: list[Line]) -> HttpResponse:
    status = 422 if request.method == "POST" else 200
    context |= {"lines": lines}
    return render(request, "billing/shelf/count.html", context, status=status)


def _compared(
    request: AtWork, context: dict[str, Any], counted: list[Line]
) -> HttpResponse:
    """What differs, with what should be there as it is now."""
    context |= {
        "differ": [line for line in counted if line.difference],
        "agree": [line for line in counted if not line.difference],
    }
    has_errors = any(line.form.errors for line in counted)
    return render(
        request,
        "billing/shelf/count_why.html",
        context,
        status=422 if has_errors else 200,
    )


def _kept(request: AtWork, counted: list[Line]) -> bool:
    """All of the counts, or none: what is refused stands beside its part."""
    with transaction.atomic():
        for line in counted:
            _keep(request, line)
        is_kept = not any(line.form.errors for line in counted)
        transaction.set_rollback(not is_kept)
    return is_kept


def _keep(request: AtWork, line: Line) -> None:
    typed = line.form.cleaned_data
    expected = typed.get("expected")
    try:
        services.stock_count(
            item=line.item,
            by=request.user,
            counted=typed["counted"],
            expected=line.item.on_hand if expected is None else expected,
            reason=typed["reason"],
        )
    except Refused as refused:
        line.form.add_error(refused.field or None, str(refused))
        line.form.add_error(None, _("Not kept yet."))
