"""Pages of loan devices: lending with a ticket, taking back, the list of them."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST

from shop.billing.forms import HANDED_OVER, day_field
from shop.billing.loan_models import Loan, LoanDevice
from shop.billing.loans import queries, services
from shop.intake.fields import text
from shop.intake.forms_shown import done, typed
from shop.intake.models import Ticket
from shop.intake.pages import act_page
from shop.intake.place import at_ticket
from shop.money_fields import InCurrency, MoneyField
from shop.people.access import FRONT_DESK, OWNER, AtWork, roles
from shop.people.models import Shop
from shop.records.errors import Refused
from shop.records.idempotency import once


class DeviceForm(forms.Form):
    name = text(gettext_lazy("Loan device"), 120, is_needed=True)
    serial = text(gettext_lazy("Serial number"), 80)


class GiveForm(InCurrency):
    device = forms.ModelChoiceField(
        label=gettext_lazy("Loan device"), queryset=LoanDevice.objects.none()
    )
    given_with = text(gettext_lazy("With it, and its state"), 200)
    due_on = day_field(gettext_lazy("Back by"))
    deposit = MoneyField(label=gettext_lazy("Deposit for it"), required=False)
    deposit_method = forms.ChoiceField(
        label=gettext_lazy("Paid by"),
        choices=[("", gettext_lazy("no deposit")), *HANDED_OVER],
        required=False,
    )

    def __init__(self, *args: Any, shop: Shop, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        free = [device.pk for device in queries.free_devices(shop)]
        devices = LoanDevice.objects.filter(pk__in=free)
        self.fields["device"].queryset = devices  # type: ignore[attr-defined]


class BackForm(InCurrency):
    state = text(gettext_lazy("How it came back"), 200)
    deposit_back = MoneyField(label=gettext_lazy("Deposit given back"), required=False)

    def __init__(self, *args: Any, loan: Loan, **kwargs: Any) -> None:
        super().__init__(*args, currency=loan.currency, **kwargs)
        if loan.given_with:
            said = _("It went out with: %(what)s") % {"what": loan.given_with}
            self.fields["state"].help_text = said
        if loan.deposit:
            values = {"deposit": loan.deposit, "currency": loan.currency}
            said = _("Empty: the whole %(deposit)s %(currency)s.") % values
            self.fields["deposit_back"].help_text = said
        else:
            del self.fields["deposit_back"]


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@at_ticket
@once
def loan_give(request: AtWork, ticket: Ticket) -> HttpResponse:
    form = GiveForm(typed(request), shop=request.shop, currency=ticket.currency)
    return act_page(
        request,
        ticket,
        form,
        gettext_lazy("Lend a device"),
        lambda: services.loan_give(ticket=ticket, by=request.user, **form.cleaned_data),
        button=gettext_lazy("Lend it"),
    )


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@at_ticket
@once
def loan_back(request: AtWork, ticket: Ticket, loan_id: int) -> HttpResponse:
    loan = get_object_or_404(ticket.loans, pk=loan_id)
    form = BackForm(typed(request), loan=loan)
    return act_page(
        request,
        ticket,
        form,
        _("%(device)s is back") % {"device": loan.device},
        lambda: services.loan_take_back(
            loan=loan, by=request.user, **form.cleaned_data
        ),
        button=gettext_lazy("It is back"),
    )


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@once
def loan_devices(request: AtWork) -> HttpResponse:
    """All devices that are lent: where each is, and a new one."""
    form = DeviceForm(typed(request))
    is_valid = form.is_bound and form.is_valid()
    if is_valid and done(
        form,
        lambda: services.loan_device_keep(shop=request.shop, **form.cleaned_data),
    ):
        messages.success(request, _("Kept."))
        return redirect("billing:loan_devices")
    devices = list(request.shop.loan_devices.filter(ended_at=None))
    out = {loan.device_id: loan for loan in services.out_of(devices)}
    context = {
        "form": form,
        "devices": [(device, out.get(device.pk)) for device in devices],
    }
    status = 422 if form.is_bound else 200
    return render(request, "billing/loan_devices.html", context, status=status)


@roles(FRONT_DESK, OWNER)
@require_POST
@once
def loan_device_end(request: AtWork, device_id: int) -> HttpResponse:
    device = get_object_or_404(request.shop.loan_devices, pk=device_id)
    try:
        services.loan_device_end(device=device)
    except Refused as refused:
        messages.error(request, str(refused))
    return redirect("billing:loan_devices")
