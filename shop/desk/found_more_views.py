"""The page of "Found more": traffic only."""

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from diagnostics import queries as bench
from diagnostics.models import Board
from diagnostics.place import Place
from shop.billing import drafts
from shop.billing import queries as money
from shop.desk import found_more
from shop.intake.forms_shown import done, typed
from shop.intake.models import Ticket
from shop.intake.place import at_ticket
from shop.money import Money
from shop.money_fields import InCurrency, MoneyField
from shop.people.access import TECHNICIAN, AtWork, roles
from shop.records.idempotency import once


class FoundMoreForm(InCurrency):
    """What was found besides, and what it takes."""

    cause = forms.CharField(
        label=gettext_lazy("What was found, in plain words"), max_length=300
    )
    part = forms.CharField(
        label=gettext_lazy("Part it takes"), max_length=120, required=False
    )
    price = MoneyField(
        label=gettext_lazy("Price of the part, without tax"), required=False
    )
    minutes = forms.IntegerField(
        label=gettext_lazy("Minutes more"), min_value=0, max_value=24 * 60
    )

    def clean(self) -> dict[str, object]:
        data = super().clean() or self.cleaned_data
        if data.get("part") and data.get("price") is None:
            self.add_error("price", _("Say what the part costs."))
        if not data.get("part"):
            data["price"] = None
        return data


@roles(TECHNICIAN)
@require_http_methods(["GET", "POST"])
@at_ticket
@once
def found_more_page(request: AtWork, ticket: Ticket, board_id: int) -> HttpResponse:
    board = get_object_or_404(bench.boards_of(ticket), pk=board_id)
    form = FoundMoreForm(
        typed(request), currency=ticket.currency, initial=initial(board, ticket)
    )
    if (
        form.is_bound
        and form.is_valid()
        and done(form, lambda: kept(request, form, board, ticket))
    ):
        messages.success(
            request,
            _("The next quote is drafted, and nothing is sent. The board is parked."),
        )
        return redirect(Place(ticket, board).url())
    context = {
        "ticket": ticket,
        "form": form,
        "agreed": money.agreed(ticket),
        "quoted": drafts.quoted_lines(ticket),
        "back_url": Place(ticket, board).url(),
    }
    status = 422 if form.is_bound else 200
    return render(request, "desk/found_more.html", context, status=status)


def kept(request: AtWork, form: FoundMoreForm, board: Board, ticket: Ticket) -> object:
    return found_more.found_more_record(
        ticket=ticket, board=board, by=request.user, **form.cleaned_data
    )


def initial(board: Board, ticket: Ticket) -> dict[str, str | int | Money | None]:
    said = found_more.guess(board, ticket)
    return {
        "cause": said.cause,
        "part": said.part,
        "price": said.price,
        "minutes": said.minutes or None,
    }
