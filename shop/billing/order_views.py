"""A part that is late: a new date, another supplier, or no more of it."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods

from shop.billing import queries, services
from shop.billing.forms import OrderForm
from shop.billing.late_forms import CancelForm, PutOffForm
from shop.intake.forms_shown import done, typed
from shop.intake.models import Ticket
from shop.intake.pages import act_page
from shop.intake.place import at_ticket
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.records.idempotency import once


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@at_ticket
@once
def order_put_off(request: AtWork, ticket: Ticket, line_id: int) -> HttpResponse:
    """A new date, and the customer told of it."""
    line = get_object_or_404(ticket.order_lines, pk=line_id)
    form = PutOffForm(typed(request), initial=PutOffForm.offered(ticket))

    def act() -> object:
        return services.order_put_off(
            order_line=line, by=request.user, **form.cleaned_data
        )

    heading = _("New date for %(part)s") % {"part": line.name}
    return act_page(request, ticket, form, heading, act)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@at_ticket
@once
def order_elsewhere(request: AtWork, ticket: Ticket, line_id: int) -> HttpResponse:
    """The same part from another supplier."""
    line = get_object_or_404(ticket.order_lines, pk=line_id)
    initial = {"name": line.name, "quantity": line.quantity, "price": line.price}
    form = OrderForm(typed(request), currency=ticket.currency, initial=initial)

    def act() -> object:
        return services.order_elsewhere(
            order_line=line, by=request.user, **form.cleaned_data
        )

    return act_page(
        request, ticket, form, _("From another supplier"), act, button=_("Order it")
    )


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@at_ticket
@once
def order_cancel(request: AtWork, ticket: Ticket, line_id: int) -> HttpResponse:
    """No more of it; what was paid too much is given back on the next page."""
    line = get_object_or_404(ticket.order_lines, pk=line_id)
    form = CancelForm(typed(request))

    def act() -> object:
        return services.order_end(order_line=line, by=request.user)

    if done(form, act):
        may_give_back = bool(request.held_roles & {FRONT_DESK, OWNER})
        if may_give_back and queries.paid(ticket).amount > 0:
            return redirect("billing:payment_take", ticket.number)
        return redirect(ticket)
    context = {
        "ticket": ticket,
        "form": form,
        "line": line,
        "balance": queries.balance(ticket),
    }
    status = 422 if form.is_bound else 200
    return render(request, "billing/order_cancel.html", context, status=status)
