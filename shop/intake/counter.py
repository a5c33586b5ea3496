"""The counter's pages: take one in, find who is at the counter."""

from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_GET, require_http_methods

from shop.intake import paper_pages, queries, services
from shop.intake.forms import (
    CustomerForm,
    IntakeForm,
    initial_of,
    initial_of_device,
)
from shop.intake.forms_shown import both, done, seen_anew, typed
from shop.intake.models import Customer, Ticket
from shop.money import Money
from shop.people import queries as people
from shop.people.access import FRONT_DESK, OWNER, AtWork, roles
from shop.records.errors import StaleEdit
from shop.records.idempotency import once


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@once
def ticket_new(request: AtWork) -> HttpResponse:
    """Take one in: the whole intake on one page."""
    known = _chosen(request)
    form = _intake_form(request, known)
    taken: list[Ticket] = []
    context: dict[str, Any] = {}
    try:
        if done(form, lambda: taken.append(_take_in(request, form, known))):
            return redirect(_after(request, taken[0]))
    except StaleEdit as stale:
        context["stale"] = both(form, stale)
        newest = queries.customer_get(request.shop, known.pk if known else 0)
        seen_anew(form, {"version": newest.version})
    context |= _around(request, form, known)
    status = 422 if form.is_bound else 200
    return render(request, "intake/ticket_new.html", context, status=status)


def _chosen(request: AtWork) -> Customer | None:
    """The returning customer whom the page is about, if one was chosen."""
    pk = (request.POST or request.GET).get("customer", "")
    if not pk:
        return None
    if not (pk.isascii() and pk.isdigit() and len(pk) < 18):
        raise Http404
    return queries.customer_get(request.shop, int(pk))


def _intake_form(request: AtWork, known: Customer | None) -> IntakeForm:
    initial: dict[str, Any] = {"name": request.GET.get("name", "")[:200]}
    if known is not None:
        initial = initial_of(known)
        if device := known.devices.last():
            initial |= initial_of_device(device)
    currency = request.shop.currency
    return IntakeForm(typed(request), currency=currency, initial=initial)


def _take_in(request: AtWork, form: IntakeForm, known: Customer | None) -> Ticket:
    return services.ticket_take_in(
        shop=request.shop,
        by=request.user,
        customer=known,
        version=form.cleaned_data["version"] or 0,
        who=form.who(),
        what=form.what(),
        **form.opening(),
    )


def _after(request: AtWork, ticket: Ticket) -> str:
    if request.POST.get("then") == "print":
        station, by = request.station, request.user
        return paper_pages.printed_at_intake(ticket, station, by)
    return ticket.get_absolute_url()


def _around(
    request: AtWork, form: IntakeForm, known: Customer | None
) -> dict[str, Any]:
    look = request.GET.get("look", "").strip()[:100]
    terms = people.terms_at(request.shop, timezone.now())
    fee = Money.from_minor(terms.diagnosis_fee_minor, request.shop.currency)
    return {
        "form": form,
        "known": known,
        "last_ticket": known.tickets.last() if known else None,
        "look": look,
        "offers": queries.customers_like(request.shop, look, look) if look else [],
        "terms": terms,
        "fee": fee,
    }


@roles(FRONT_DESK, OWNER)
@require_GET
def customer_offers(request: AtWork) -> HttpResponse:
    """For htmx: who it may be, or the sections filled with the one chosen.

    Without script the same is on the page itself, by its ``look`` field.
    """
    name, phone = request.GET.get("name", ""), request.GET.get("phone", "")
    if not request.htmx:
        look = urlencode({"look": name or phone})
        return redirect(f"{reverse('intake:ticket_new')}?{look}")
    if known := _chosen(request):
        form = _intake_form(request, known)
        context = _around(request, form, known)
        context["is_device_empty"] = not request.GET.get("model", "").strip()
        return render(request, "intake/_chosen.html", context)
    offers = queries.customers_like(request.shop, name[:100], phone[:60])
    return render(request, "intake/_offers.html", {"offers": offers})


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@once
def customer(request: AtWork, pk: int) -> HttpResponse:
    """Name, phone and address of a customer, to put right."""
    row = queries.customer_get(request.shop, pk)
    form = CustomerForm(typed(request), initial=initial_of(row))
    context: dict[str, Any] = {"form": form, "customer": row}
    try:
        if done(form, lambda: _change(request, form, row)):
            return redirect("intake:customer", pk=row.pk)
    except StaleEdit as stale:
        context["stale"] = both(form, stale)
        seen_anew(form, {"version": row.version})
    context |= {"heading": _("Customer"), "tickets": queries.tickets_of(row)}
    status = 422 if form.is_bound else 200
    return render(request, "intake/customer.html", context, status=status)


def _change(request: AtWork, form: CustomerForm, row: Customer) -> Customer:
    fields = form.who()
    fields["phone_typed"] = fields.pop("phone")
    version = form.cleaned_data["version"] or 0
    return services.customer_change(
        customer=row, by=request.user, version=version, **fields
    )
