"""From a donor to the shelf: what was taken off becomes stock with its origin."""

from collections.abc import Mapping
from typing import Any

from django import forms
from django.db import transaction
from django.db.models import Q, QuerySet
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods

from diagnostics import donors
from diagnostics.donors import Donor, Gone
from diagnostics.models import TakenOff
from shop.billing import services as billing
from shop.billing.models import StockItem
from shop.billing.shelf.forms import A_CODE, OfShop, place_field
from shop.billing.shelf_models import StockLot
from shop.intake.forms_shown import done, typed
from shop.money_fields import MoneyField
from shop.people.access import OWNER, TECHNICIAN, AtWork, roles
from shop.people.models import Shop
from shop.records.errors import Refused
from shop.records.idempotency import once


class HarvestForm(OfShop):
    item = forms.ModelChoiceField(
        label=gettext_lazy("On the shelf it is"),
        queryset=StockItem.objects.none(),
        required=False,
        empty_label=gettext_lazy("a new part"),
    )
    code = forms.RegexField(
        label=gettext_lazy("Code, where it is new"), regex=A_CODE, required=False
    )
    price = MoneyField(
        label=gettext_lazy("Price of one"),
        help_text=gettext_lazy("It costs us nothing; this is what a customer pays."),
    )
    place = place_field()

    def __init__(
        self, *args: Any, items: QuerySet[StockItem], shop: Shop, **kwargs: Any
    ) -> None:
        super().__init__(*args, shop=shop, **kwargs)
        field = self.fields["item"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = items

    def clean(self) -> dict[str, Any]:
        asked: dict[str, Any] = super().clean() or self.cleaned_data
        if asked.get("item") is None and not asked.get("code"):
            self.add_error("code", _("A new part needs a code."))
        return asked


def origin_of(taken: TakenOff) -> str:
    return f"taken_off:{taken.pk}"


Shelved = Mapping[str, StockLot]


def shelved_of(donor: Donor) -> Shelved:
    """What came from this donor to the shelf, by its origin: one query."""
    origins = [origin_of(one.taken_off) for one in donor.gone if one.taken_off]
    lots = StockLot.objects.filter(origin__in=origins).select_related("item__place")
    return {lot.origin: lot for lot in lots}


@roles(TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
def harvest(request: AtWork, taken_id: int) -> HttpResponse:
    """Put what was taken off a donor on the shelf, once."""
    found = TakenOff.objects.filter(intervention__board__shop=request.shop)
    taken = get_object_or_404(found.select_related("intervention__board"), pk=taken_id)
    board = taken.intervention.board
    donor_row = get_object_or_404(donors.rows(request.shop), pk=board.pk)
    (donor,) = donors.donors_of([donor_row])
    gone = next((g for g in donor.gone if g.act.pk == taken.intervention_id), None)
    lot = StockLot.objects.filter(origin=origin_of(taken)).select_related("item")
    form = HarvestForm(
        typed(request), items=alike(request.shop, taken, gone), shop=request.shop
    )
    made = list[StockItem]()

    def act() -> None:
        made.append(shelve(request, taken, gone, donor, form.cleaned_data))

    if done(form, act):
        return redirect(made[0])
    context = {"donor": donor, "gone": gone, "lot": lot.first(), "form": form}
    status = 422 if form.is_bound else 200
    return render(request, "desk/harvest.html", context, status=status)


def alike(shop: Shop, taken: TakenOff, gone: Gone | None) -> QuerySet[StockItem]:
    """Parts of the shelf that this may be: of its kind or its name."""
    kind = taken.intervention.part_id
    is_meant = Q(name__iexact=gone.name if gone else taken.name)
    if kind:
        is_meant |= Q(part_id=kind)
    return shop.stock_items.filter(is_meant).order_by("name")


@transaction.atomic
def shelve(
    request: AtWork,
    taken: TakenOff,
    gone: Gone | None,
    donor: Donor,
    asked: dict[str, Any],
) -> StockItem:
    """The lot, in a part that is there or entered for it."""
    if donor.paper is None:
        raise Refused(_("Say first by which paper this board is ours."))
    if gone is None:
        raise Refused(_("It was put back on the donor."))
    if taken.for_ticket is not None:
        raise Refused(_("It was taken off for a ticket: enter it there."))
    item: StockItem = asked["item"] or billing.stock_item_keep(
        shop=request.shop,
        name=capfirst(gone.name),
        code=asked["code"],
        part_id=gone.act.part_id,
        place=asked["place"],
    )
    if asked["place"] and item.place != asked["place"]:
        item.place = asked["place"]
        item.save(update_fields=["place"])
    billing.stock_harvest(
        item=item,
        by=request.user,
        origin=origin_of(taken),
        donor=f"{donor.title} {gone.act.place}".strip(),
        price=asked["price"],
    )
    return item
