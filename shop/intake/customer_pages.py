"""Who is at the counter: offers while one types, and a customer's own page."""

from collections.abc import Sequence
from typing import Any

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_GET, require_http_methods

from shop.intake import joining, phones, queries, services
from shop.intake.counter import around, chosen, intake_form, kind_of
from shop.intake.customer_form import OwnPageForm, initial_of_page
from shop.intake.forms_shown import both, done, seen_anew, typed
from shop.intake.joining_forms import JoinForm, PartForm
from shop.intake.models import Customer, IntakeKind
from shop.people.access import FRONT_DESK, OWNER, AtWork, roles
from shop.records.errors import StaleEdit
from shop.records.idempotency import once
from shop.records.models import Event


@roles(FRONT_DESK, OWNER)
@require_GET
def customer_offers(request: AtWork) -> HttpResponse:
    """For htmx: who it may be, or the sections filled with the one chosen.

    One who types sends the name; a link to choose one does not.
    Without script the same is on the page itself, by its ``look`` field.
    """
    name, phone = request.GET.get("name", ""), request.GET.get("phone", "")
    if not request.htmx:
        asked = {"look": name or phone}
        if kind_of(request) != IntakeKind.COUNTER:
            asked["intake"] = kind_of(request)
        return redirect(f"{reverse('intake:ticket_new')}?{urlencode(asked)}")
    if (known := chosen(request)) and "name" not in request.GET:
        form = intake_form(request, known)
        context = around(request, form, known)
        is_given = request.GET.get("device") or not request.GET.get("model", "").strip()
        context["is_device_empty"] = is_given and "model" in form.fields
        return render(request, "intake/_chosen.html", context)
    offers = queries.customers_like(request.shop, name[:100], phone[:60])
    context = {
        "offers": [one for one in offers if known is None or one.pk != known.pk],
        "known": known,
        "twice": joining.first_pair(offers),
        "intake_kind": kind_of(request),
        "draft": request.GET.get("draft", ""),
        "is_no_number": bool(phone.strip())
        and not phones.e164(phone, request.shop.country),
    }
    return render(request, "intake/_offers.html", context)


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@once
def customer(request: AtWork, pk: int) -> HttpResponse:
    """Name, phone, address and tax of a customer, to put right."""
    row = queries.customer_get(request.shop, pk)
    if row.pk != pk:
        return redirect("intake:customer", pk=row.pk)
    form = OwnPageForm(
        typed(request),
        languages=request.shop.language_codes,
        initial=initial_of_page(row),
    )
    context: dict[str, Any] = {"form": form, "customer": row}
    try:
        if done(form, lambda: _change(request, form, row)):
            return redirect("intake:customer", pk=row.pk)
    except StaleEdit as stale:
        context["stale"] = both(form, stale)
        seen_anew(form, {"version": row.version})
    context |= {
        "heading": _("Customer"),
        "tickets": queries.tickets_of(row),
        "near": joining.near_of(row),
        "joinings": joining.joinings_of(row),
    }
    status = 422 if form.is_bound else 200
    return render(request, "intake/customer.html", context, status=status)


def _change(request: AtWork, form: OwnPageForm, row: Customer) -> Customer:
    fields = form.who()
    fields["phone_typed"] = fields.pop("phone")
    version = form.cleaned_data["version"] or 0
    return services.customer_change(
        customer=row, by=request.user, version=version, **fields
    )


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@once
def customer_join(request: AtWork, pk: int, other: int) -> HttpResponse:
    """Two rows of one person, side by side, and which of them stays."""
    rows = [_standing(request, one) for one in (pk, other)]
    form = JoinForm(typed(request), rows=rows)
    context: dict[str, Any] = {"form": form, "rows": rows}
    try:
        if done(form, lambda: _join(request, form, rows)):
            return redirect("intake:customer", pk=form.cleaned_data["kept"])
    except StaleEdit:
        form.add_error(None, _("One of them was changed meanwhile. Look again."))
        seen_anew(form, {f"version_{n}": row.version for n, row in enumerate(rows)})
    context["said"] = [(row, queries.tickets_of(row)) for row in rows]
    status = 422 if form.is_bound else 200
    return render(request, "intake/customer_join.html", context, status=status)


def _standing(request: AtWork, pk: int) -> Customer:
    return get_object_or_404(Customer, shop=request.shop, pk=pk)


def _join(request: AtWork, form: JoinForm, rows: Sequence[Customer]) -> Event:
    is_first = form.cleaned_data["kept"] == str(rows[0].pk)
    kept, gone = rows if is_first else rows[::-1]
    versions = form.versions() if is_first else form.versions()[::-1]
    return joining.customers_join(
        kept=kept, gone=gone, by=request.user, versions=(versions[0], versions[1])
    )


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@once
def customer_part(request: AtWork, pk: int, other: int) -> HttpResponse:
    """Undo a joining: they are two people after all, and why."""
    kept, gone = _standing(request, pk), _standing(request, other)
    form = PartForm(typed(request), initial={"version": kept.version})
    try:
        if done(form, lambda: _part(request, form, gone)):
            return redirect("intake:customer", pk=gone.pk)
    except StaleEdit:
        form.add_error(None, _("One of them was changed meanwhile. Look again."))
        seen_anew(form, {"version": kept.version})
    context = {"form": form, "kept": kept, "gone": gone}
    status = 422 if form.is_bound else 200
    return render(request, "intake/customer_part.html", context, status=status)


def _part(request: AtWork, form: PartForm, gone: Customer) -> Event:
    return joining.customers_part(gone=gone, by=request.user, **form.cleaned_data)
