"""The counter's sale without a ticket: lines, a payment, the paper."""

from django.contrib import messages
from django.forms import BaseFormSet
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from shop.billing import services
from shop.billing.selling.forms import (
    SaleForm,
    SoldForm,
    SoldForms,
    item_of,
    price_of,
    rows_typed,
    usual_tax,
    with_one_more,
)
from shop.billing.services.sales import Sale
from shop.intake.forms_shown import done, typed
from shop.people import queries as people
from shop.people.access import FRONT_DESK, OWNER, AtWork, roles
from shop.people.models import Terms
from shop.records.idempotency import forget_key, once

PREFIX = "row"


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@once
def sale(request: AtWork) -> HttpResponse:
    terms = people.terms_at(request.shop, timezone.now())
    if request.POST.get("then") == "add":
        return _added(request, terms)
    more = {"currency": request.shop.currency}
    form = SaleForm(typed(request), **more)
    rows = SoldForms(typed(request), prefix=PREFIX, form_kwargs=more)
    is_valid = form.is_bound and form.is_valid() & rows.is_valid()
    made: list[Sale] = []
    if is_valid and done(form, lambda: made.append(_sell(request, form, rows, terms))):
        return _sold(request, made[0])
    return _page(request, form, rows, terms, status=422 if form.is_bound else 200)


def _sell(
    request: AtWork, form: SaleForm, rows: "BaseFormSet[SoldForm]", terms: Terms
) -> Sale:
    usual = usual_tax(terms)
    sold = [row.sold(request.shop, usual) for row in rows if row.has_changed()]
    return services.sale_do(
        shop=request.shop,
        by=request.user,
        sold=sold,
        method=form.cleaned_data["method"],
        with_tax=terms.prices_with_tax,
        given=form.cleaned_data["given"],
        buyer=form.buyer(),
    )


def _sold(request: AtWork, made: Sale) -> HttpResponse:
    if made.change:
        values = {"change": made.change, "currency": made.change.currency}
        messages.success(request, _("Change: %(change)s %(currency)s") % values)
    return redirect("billing:invoice_page", made.invoice.number)


def _added(request: AtWork, terms: Terms) -> HttpResponse:
    """The same page with the scanned part on it; nothing is sold yet."""
    more = {"currency": request.shop.currency}
    code = request.POST.get("scan", "").strip()
    rows = rows_typed(request.POST, PREFIX)
    item = item_of(request.shop, code) if code else None
    if item is not None:
        rows = with_one_more(rows, item, price_of(item, terms))
    kept = {name: request.POST.get(name, "") for name in SaleForm.base_fields}
    form = SaleForm(initial=kept | {"scan": code if item is None else ""}, **more)
    forms = SoldForms(prefix=PREFIX, form_kwargs=more, initial=rows)
    unknown = code if item is None and code else ""
    forget_key(request)
    status = 422 if unknown else 200
    return _page(request, form, forms, terms, unknown=unknown, status=status)


def _page(
    request: AtWork,
    form: SaleForm,
    rows: "BaseFormSet[SoldForm]",
    terms: Terms,
    *,
    unknown: str = "",
    status: int,
) -> HttpResponse:
    context = {"form": form, "rows": rows, "terms": terms, "unknown": unknown}
    return render(request, "billing/sale.html", context, status=status)
