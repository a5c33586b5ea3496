"""Pages of account customers: who they are, their rules, prices and payments."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_GET, require_http_methods

from shop.billing.accounts import forms, orders
from shop.billing.accounts.credit import credit_of
from shop.billing.accounts.draft import accounts_of, draft_of
from shop.billing.accounts.paying import account_payment_take
from shop.billing.accounts.statement import open_at
from shop.billing.accounts.sums import sums_of
from shop.billing.models import Payment
from shop.intake import accounts, queries, services
from shop.intake.forms_shown import done, seen_anew, typed
from shop.intake.models import Customer, Ticket
from shop.intake.pages import act_page
from shop.intake.place import at_ticket
from shop.money import total
from shop.people.access import FRONT_DESK, OWNER, AtWork, roles
from shop.printing.services import printers_of
from shop.records.errors import StaleEdit
from shop.records.idempotency import once

PAYMENTS_SHOWN = 12


@roles(FRONT_DESK, OWNER)
@require_GET
def accounts_page(request: AtWork) -> HttpResponse:
    """Every account: what it owes, how far that may go."""
    rows = [(one, credit_of(one)) for one in accounts_of(request.shop)]
    context = {"rows": rows, "currency": request.shop.currency}
    return render(request, "accounts/accounts.html", context)


@roles(FRONT_DESK, OWNER)
@require_GET
def account(request: AtWork, pk: int) -> HttpResponse:
    customer = queries.customer_get(request.shop, pk)
    now = timezone.now()
    today = timezone.localdate(timezone=request.shop.zone)
    context = {
        "customer": customer,
        "rules": accounts.rules_at(customer, now),
        "spells": accounts.price_spells(customer, now),
        "credit": credit_of(customer),
        "open_ones": list(open_at(customer, now)),
        "payments": sums_of(customer)[:PAYMENTS_SHOWN],
        "station_prints": printers_of(request.station),
        "draft": draft_of(customer, today.replace(day=1), now),
        "currency": request.shop.currency,
        "history": customer.account_terms.select_related("by").order_by("-id"),
    }
    return render(request, "accounts/account.html", context)


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@once
def account_rules(request: AtWork, pk: int) -> HttpResponse:
    customer = queries.customer_get(request.shop, pk)
    newest = customer.account_terms.order_by("valid_from", "id").last()
    initial = forms.initial_of_rules(newest) if newest else {}
    initial |= {"seen": newest.pk if newest else 0}
    form = forms.RulesForm(
        typed(request),
        currency=request.shop.currency,
        languages=request.shop.language_codes,
        initial={"language": customer.language} | initial,
    )
    is_open = request.POST.get("then") != "end"
    try:
        if done(form, lambda: _rules_set(request, customer, form, is_open=is_open)):
            return redirect("billing:account", pk=customer.pk)
    except StaleEdit:
        form.add_error(None, _("Somebody changed them meanwhile. Look again."))
        seen_anew(form, {"seen": newest.pk if newest else 0})
    context = {"customer": customer, "form": form, "newest": newest}
    status = 422 if form.is_bound else 200
    return render(request, "accounts/rules.html", context, status=status)


def _rules_set(
    request: AtWork, customer: Customer, form: forms.RulesForm, *, is_open: bool
) -> None:
    services.account_set(
        customer=customer, by=request.user, is_open=is_open, **form.answers()
    )
    said = _("The rules are kept.") if is_open else _("The account is ended.")
    messages.success(request, said)


@roles(OWNER)
@require_http_methods(["GET", "POST"])
@once
def account_prices(request: AtWork, pk: int) -> HttpResponse:
    customer = queries.customer_get(request.shop, pk)
    spells = accounts.price_spells(customer, timezone.now())
    initial = forms.initial_of_prices(spells[0].prices) if spells else {}
    form = forms.PricesForm(
        typed(request), currency=request.shop.currency, initial=initial
    )

    def act() -> None:
        services.account_prices_set(
            customer=customer, by=request.user, **form.answers()
        )

    if done(form, act):
        messages.success(request, _("The prices are kept."))
        return redirect("billing:account", pk=customer.pk)
    context = {"customer": customer, "form": form}
    status = 422 if form.is_bound else 200
    return render(request, "accounts/prices.html", context, status=status)


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@once
def account_payment(request: AtWork, pk: int) -> HttpResponse:
    customer = queries.customer_get(request.shop, pk)
    found = [
        one
        for one in open_at(customer, timezone.now())
        if one.invoice.ticket_id is None
    ]
    form = forms.AccountPaymentForm(
        typed(request),
        currency=request.shop.currency,
        numbers=[one.invoice.number for one in found],
    )

    taken: list[Payment] = []

    def act() -> None:
        taken.extend(
            account_payment_take(
                customer=customer, by=request.user, **form.cleaned_data
            )
        )

    if done(form, act):
        return _taken(request, customer, taken)
    context: dict[str, Any] = {"customer": customer, "form": form, "open_ones": found}
    context["currency"] = request.shop.currency
    status = 422 if form.is_bound else 200
    return render(request, "accounts/payment.html", context, status=status)


def _taken(request: AtWork, customer: Customer, taken: list[Payment]) -> HttpResponse:
    """What changed hands; its receipt is printed where the station has a printer."""
    currency = customer.shop.currency
    said = {"amount": total([one.amount for one in taken], currency)}
    messages.success(
        request,
        _("%(amount)s %(currency)s taken. Its receipt is under “Payments”.")
        % (said | {"currency": currency}),
    )
    return redirect("billing:account", pk=customer.pk)


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@at_ticket
@once
def ticket_order(request: AtWork, ticket: Ticket) -> HttpResponse:
    known = {"order_number": ticket.order_number, "contact": ticket.device.contact}
    form = forms.OrderForm(typed(request), initial=known)
    return act_page(
        request,
        ticket,
        form,
        gettext_lazy("Order number and contact"),
        lambda: orders.order_keep(ticket=ticket, by=request.user, **form.cleaned_data),
        button=gettext_lazy("Keep"),
    )
