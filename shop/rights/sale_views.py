"""The owner looks for a name on sales, and takes it off where the law lets it go."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from shop.people.access import OWNER, AtWork, fresh, roles
from shop.records.errors import Refused
from shop.records.idempotency import once
from shop.rights.forms import NamelessForm
from shop.rights.periods import days_of
from shop.rights.sales import sale_names_erase, sales_with

LONGEST = 80


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@fresh
@once
def sales(request: AtWork) -> HttpResponse:
    form = NamelessForm(request.POST if request.method == "POST" else None)
    refusal = ""
    if form.is_bound and form.is_valid():
        try:
            sale_names_erase(
                shop=request.shop,
                by=request.user,
                numbers=request.POST.getlist("number"),
            )
        except Refused as refused:
            refusal = str(refused)
        else:
            messages.success(request, _("Erased. These sales name nobody any more."))
            return redirect("rights:sales")
    asked = (request.POST if form.is_bound else request.GET).get("q", "")[:LONGEST]
    context: dict[str, Any] = {
        "form": form,
        "q": asked,
        "found": sales_with(request.shop, asked) if asked else [],
        "ticked": set(request.POST.getlist("number")),
        "refusal": refusal,
        "years": round(days_of(request.shop)["papers"] / 365),
    }
    status = 422 if form.is_bound else 200
    return render(request, "rights/sales.html", context, status=status)
