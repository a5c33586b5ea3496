"""Pages of the shelf: the list, one part, and the small acts on it."""

from typing import Any

from django.core.paginator import Page, Paginator
from django.db.models import QuerySet
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shop.billing import services
from shop.billing.models import StockItem, StockMove
from shop.billing.shelf import arriving, listing
from shop.billing.shelf.forms import BringForm, ItemForm, KeepForm
from shop.billing.shelf.kept import standing
from shop.billing.shelf.pages import button_done, form_page, item_here
from shop.intake.forms_shown import done, typed
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.records.idempotency import once

A_PAGE = 100
WHAT_IS_SHOWN = ("", "low", "all")


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
def stock(request: AtWork) -> HttpResponse:
    """The shelf: what is there; ``show=low`` what is to be ordered, ``all`` all."""
    asked = request.GET.get("q", "").strip()[:80]
    show = request.GET.get("show", "")
    show = show if show in WHAT_IS_SHOWN else ""
    items = listing.found(request.shop, asked)
    if show == "" and not asked:
        items = items.filter(on_hand__gt=0)
    page, rows = _page(request, items, is_low=show == "low")
    context = {
        "asked": asked,
        "show": show,
        "page": page,
        "rows": rows,
        "sums": listing.sums_of(request.shop),
        "claims": arriving.open_claims(request.shop).count(),
        "awaited": arriving.awaited(request.shop).count(),
    }
    return render(request, "billing/shelf/stock.html", context)


def _page(
    request: AtWork, items: QuerySet[StockItem], *, is_low: bool
) -> tuple[Page[Any], list[listing.Row]]:
    """A page of rows; what is to be ordered is known only once all are reckoned."""
    now, number = timezone.now(), request.GET.get("page")
    if is_low:
        rows = [
            one for one in listing.rows_of(request.shop, items, now) if one.to_order
        ]
        low = Paginator(rows, A_PAGE).get_page(number)
        return low, list(low.object_list)
    page = Paginator(items, A_PAGE).get_page(number)
    return page, listing.rows_of(request.shop, page.object_list, now)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
def stock_item(request: AtWork, item_id: int) -> HttpResponse:
    return item_page(request, item_here(request, item_id))


def item_page(
    request: AtWork, item: StockItem, *, keep: KeepForm | None = None
) -> HttpResponse:
    """One part: its lots, what it is kept for, what is on its way, its moves."""
    now = timezone.now()
    (row,) = listing.rows_of(request.shop, [item], now)
    moves = item.moves.select_related("by", "ticket", "order_line").order_by("-id")
    kept = standing(now).filter(item=item).order_by("expires_at")
    context = {
        "item": item,
        "row": row,
        "lots": item.lots.filter(left__gt=0).select_related("came_by__order_line"),
        "kept": kept.select_related("ticket__customer"),
        "orders": arriving.awaited(request.shop).filter(item=item),
        "claims": arriving.open_claims(request.shop).filter(item=item),
        "moves": Paginator(moves, 40).get_page(request.GET.get("page")),
        "last_count": item.counts.select_related("by").last(),
        "keep": keep or KeepForm(shop=request.shop),
        "may_change": bool(request.held_roles & {FRONT_DESK, OWNER}),
        "now": now,
    }
    status = 422 if keep is not None else 200
    return render(request, "billing/shelf/item.html", context, status=status)


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@once
def stock_new(request: AtWork) -> HttpResponse:
    """Enter a part that the shelf does not know yet."""
    form = ItemForm(
        typed(request),
        shop=request.shop,
        initial={"name": request.GET.get("name", "")[:120]},
    )
    made = list[StockItem]()

    def act() -> None:
        made.append(services.stock_item_keep(shop=request.shop, **form.cleaned_data))

    if done(form, act):
        return redirect(made[0])
    status = 422 if form.is_bound else 200
    context = {"form": form, "heading": _("New part"), "back": reverse("billing:stock")}
    return render(request, "billing/shelf/form.html", context, status=status)


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@once
def stock_change(request: AtWork, item_id: int) -> HttpResponse:
    item = item_here(request, item_id)
    form = ItemForm(typed(request), shop=request.shop, initial=ItemForm.of(item))
    return form_page(
        request,
        form,
        item.name,
        lambda: services.stock_item_keep(
            shop=request.shop, item=item, **form.cleaned_data
        ),
        then=item.get_absolute_url(),
    )


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@once
def stock_bring(request: AtWork, item_id: int) -> HttpResponse:
    """Pieces that were bought without an order."""
    item = item_here(request, item_id)
    form = BringForm(
        typed(request),
        shop=request.shop,
        currency=item.currency,
        initial={"cost": item.cost if item.cost_minor else None},
    )
    return form_page(
        request,
        form,
        _("Bring in %(part)s") % {"part": item.name},
        lambda: services.stock_receive(item=item, by=request.user, **form.cleaned_data),
        then=item.get_absolute_url(),
        button=gettext_lazy("Bring in"),
    )


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_POST
@once
def stock_keep(request: AtWork, item_id: int) -> HttpResponse:
    """Keep pieces for a ticket."""
    item = item_here(request, item_id)
    form = KeepForm(request.POST, shop=request.shop)

    def act() -> object:
        return services.stock_reserve(item=item, by=request.user, **form.cleaned_data)

    if done(form, act):
        return redirect(item)
    return item_page(request, item, keep=form)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_POST
@once
def stock_let_go(request: AtWork, item_id: int, move_id: int) -> HttpResponse:
    """What was kept is free again."""
    item = item_here(request, item_id)
    move = get_object_or_404(item.moves.filter(why=StockMove.Why.RESERVED), pk=move_id)
    return button_done(
        request,
        lambda: services.reservation_release(move=move, by=request.user),
        item.get_absolute_url(),
    )
