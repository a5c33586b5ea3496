"""Buttons that send an account its papers by e-mail, and try a failed one again."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from shop.billing.accounts.forms import PeriodForm
from shop.billing.models import Invoice
from shop.billing.place import at_invoice
from shop.intake.models import Customer
from shop.intake.queries import customer_get
from shop.messaging import accounts, services
from shop.people.access import FRONT_DESK, OWNER, AtWork, roles
from shop.records.errors import Refused
from shop.records.idempotency import once
from shop.records.models import OutgoingMessage


@roles(FRONT_DESK, OWNER)
@require_POST
@once
@at_invoice
def invoice(request: AtWork, invoice: Invoice) -> HttpResponse:
    account = getattr(invoice, "account", None)

    def act() -> object:
        if account is None:
            raise Refused(_("It is no invoice of an account."))
        return accounts.invoice_mail(customer=account.customer, invoice=invoice)

    said = _("The invoice goes out by e-mail.")
    return _done(request, act, said, redirect("billing:invoice_page", invoice.number))


@roles(FRONT_DESK, OWNER)
@require_POST
@once
def statement(request: AtWork, pk: int) -> HttpResponse:
    customer = customer_get(request.shop, pk)
    form = PeriodForm(request.POST)
    back = redirect("billing:account", pk=customer.pk)

    def act() -> object:
        if not form.is_valid():
            raise Refused(_("Choose the first and the last day."))
        days = form.cleaned_data
        return accounts.statement_mail(
            customer=customer, first=days["first"], last=days["last"]
        )

    return _done(request, act, _("The statement goes out by e-mail."), back)


@roles(FRONT_DESK, OWNER)
@require_POST
@once
def again(request: AtWork, pk: int, message_id: int) -> HttpResponse:
    customer = customer_get(request.shop, pk)
    message = _message(customer, message_id)
    return _done(
        request,
        lambda: services.message_again(message=message),
        _("It is tried again."),
        _back(request, customer),
    )


@roles(FRONT_DESK, OWNER)
@require_POST
@once
def otherwise(request: AtWork, pk: int, message_id: int) -> HttpResponse:
    customer = customer_get(request.shop, pk)
    message = _message(customer, message_id)
    return _done(
        request,
        lambda: services.message_otherwise(message=message, by=request.user),
        _("Noted: given to the customer another way."),
        _back(request, customer),
    )


def _message(customer: Customer, message_id: int) -> OutgoingMessage:
    """One of theirs about no ticket; of one kept twice, either row's."""
    ids = [customer.pk, *customer.joined.values_list("pk", flat=True)]
    rows = OutgoingMessage.objects.filter(customer_id__in=ids, ticket_id=None)
    return get_object_or_404(rows.exclude(kind=""), pk=message_id)


def _back(request: AtWork, customer: Customer) -> HttpResponseRedirect:
    if request.POST.get("then") == "day":
        return redirect("desk:day_list")
    return redirect("billing:account", pk=customer.pk)


def _done(
    request: AtWork, act: Callable[[], object], said: str, then: HttpResponseRedirect
) -> HttpResponse:
    try:
        act()
    except Refused as refused:
        messages.error(request, str(refused))
    else:
        messages.success(request, said)
    return then
