"""Handing over: the page, and the papers that are signed."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
)

from shop.billing import queries as money
from shop.billing.accounts.credit import credit_of
from shop.desk import handing_papers, services
from shop.desk.forms import HandoverForm
from shop.intake.models import Handover, Ticket
from shop.intake.pages import paper
from shop.intake.queries import ticket_get
from shop.intake.signing import HEIGHT, WIDTH
from shop.people.access import FRONT_DESK, OWNER, AtWork, roles
from shop.records.errors import Refused
from shop.records.idempotency import once


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@once
def handover(request: AtWork, number: str) -> HttpResponse:
    ticket = ticket_get(request.shop, number)
    form = HandoverForm(request.POST or None, ticket=ticket)
    if form.is_bound and form.is_valid():
        try:
            services.hand_over(
                ticket=ticket,
                by=request.user,
                may_owe=OWNER in request.held_roles,
                **form.acting(),
            )
        except Refused as refused:
            form.add_error(refused.field, str(refused))
        else:
            return redirect(ticket)
    return _page(request, ticket, form)


def _page(request: AtWork, ticket: Ticket, form: HandoverForm) -> HttpResponse:
    is_monthly = money.is_billed_monthly(ticket)
    context = {
        "ticket": ticket,
        "form": form,
        "balance": money.balance(ticket),
        "pad": (WIDTH, HEIGHT),
        "credit": credit_of(ticket.customer, ticket) if is_monthly else None,
        "covered_until": money.covered_until(ticket),
        "may_owe": OWNER in request.held_roles,
    }
    status = 422 if form.is_bound else 200
    return render(request, "desk/handover.html", context, status=status)


@roles(FRONT_DESK, OWNER)
@require_POST
def handover_draft(request: AtWork, number: str) -> HttpResponse:
    """The paper to sign, from what is typed: nothing is kept of it yet."""
    ticket = ticket_get(request.shop, number)
    form = HandoverForm(request.POST, ticket=ticket)
    if not form.is_valid():
        return _page(request, ticket, form)
    body = handing_papers.before(ticket, form.cleaned_data["given_to"], form.ending())
    return paper(body, f"handover-{ticket.number}")


@roles(FRONT_DESK, OWNER)
@require_GET
def handover_paper(request: AtWork, number: str) -> HttpResponse:
    ticket = ticket_get(request.shop, number)
    row = Handover.objects.filter(ticket=ticket, is_undone=False).first()
    if row is None:
        return redirect("desk:handover", ticket.number)
    return paper(handing_papers.after(row), f"handover-{ticket.number}")
