"""Pages about the shelf: a small form that leads back to where it was asked from."""

from collections.abc import Callable
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.functional import Promise

from shop.billing.models import OrderLine, StockItem
from shop.intake.forms_shown import done
from shop.people.access import AtWork
from shop.records.errors import Refused

Text = str | Promise


def item_here(request: AtWork, item_id: int) -> StockItem:
    """A part of this person's shop, or 404."""
    items = request.shop.stock_items.select_related("place", "shop")
    return get_object_or_404(items, pk=item_id)


def line_here(request: AtWork, line_id: int) -> OrderLine:
    """An order line of this person's shop, or 404."""
    lines = request.shop.order_lines.select_related(
        "ticket__customer", "ticket__device", "item__place"
    )
    return get_object_or_404(lines, pk=line_id)


def form_page(
    request: AtWork,
    form: forms.Form,
    heading: Text,
    act: Callable[[], object],
    *,
    then: str,
    button: Text = "",
    said: Text = "",
    **context: Any,
) -> HttpResponse:
    """One small form: done, or shown (again, with what was typed)."""
    if done(form, act):
        if said:
            messages.success(request, str(said))
        return redirect(then)
    status = 422 if form.is_bound else 200
    context |= {"form": form, "heading": heading, "button": button, "back": then}
    return render(request, "billing/shelf/form.html", context, status=status)


def button_done(request: AtWork, act: Callable[[], object], then: str) -> HttpResponse:
    """A button without a form: done, or said why not where it was pressed."""
    try:
        act()
    except Refused as refused:
        messages.error(request, str(refused))
    return redirect(then)
