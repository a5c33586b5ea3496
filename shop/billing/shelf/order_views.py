"""What is to be ordered, what is on its way, and what becomes of it."""

from django.http import HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shop.billing import services
from shop.billing.shelf import arriving, listing, order_paper
from shop.billing.shelf.forms import DayForm, StockOrderForm
from shop.billing.shelf.pages import button_done, form_page, item_here, line_here
from shop.intake.forms_shown import typed
from shop.intake.pages import paper
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.records.idempotency import once


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
def orders(request: AtWork) -> HttpResponse:
    """To order again, and all that is awaited, by supplier."""
    now = timezone.now()
    rows = listing.rows_of(request.shop, listing.found(request.shop), now)
    context = {
        "low": [row for row in rows if row.to_order],
        "awaited": [
            (supplier, lines, order_paper.orders_in(request.shop, lines))
            for supplier, lines in arriving.by_supplier(
                arriving.awaited(request.shop)
            ).items()
        ],
        "today": now.astimezone(request.shop.zone).date(),
        "may_order": bool(request.held_roles & {FRONT_DESK, OWNER}),
    }
    return render(request, "billing/shelf/orders.html", context)


@roles(FRONT_DESK, OWNER)
@require_GET
def order_pdf(request: AtWork, line_id: int) -> HttpResponse:
    """The order that this line is of, for its supplier."""
    order = order_paper.order_of(line_here(request, line_id))
    return paper(order_paper.order_pdf(order), f"order-{order.day}-{line_id}")


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@once
def stock_order(request: AtWork, item_id: int) -> HttpResponse:
    """Order a part: for the shelf as a rule, or for a ticket."""
    item = item_here(request, item_id)
    (row,) = listing.rows_of(request.shop, [item], timezone.now())
    form = StockOrderForm(
        typed(request),
        shop=request.shop,
        currency=item.currency,
        initial={
            "supplier": item.supplier,
            "quantity": row.to_order or 1,
            "price": item.cost if item.cost_minor else None,
        },
    )
    return form_page(
        request,
        form,
        _("Order %(part)s") % {"part": item.name},
        lambda: services.stock_order(item=item, by=request.user, **form.cleaned_data),
        then=reverse("billing:orders"),
        button=gettext_lazy("Order it"),
    )


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@once
def line_put_off(request: AtWork, line_id: int) -> HttpResponse:
    """A new date; a ticket's customer hears of it on the ticket's own page."""
    line = line_here(request, line_id)
    form = DayForm(typed(request), initial={"due_on": line.due_on})
    return form_page(
        request,
        form,
        _("New date for %(part)s") % {"part": line.name},
        lambda: services.order_put_off(
            order_line=line, by=request.user, **form.cleaned_data
        ),
        then=reverse("billing:orders"),
    )


@roles(FRONT_DESK, OWNER)
@require_POST
@once
def line_cancel(request: AtWork, line_id: int) -> HttpResponse:
    line = line_here(request, line_id)
    return button_done(
        request,
        lambda: services.order_end(order_line=line, by=request.user),
        reverse("billing:orders"),
    )
