"""Series of numbers moved on by the owner: for papers from elsewhere, never back."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from django import forms
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shop.billing.models import Invoice
from shop.intake.services.outage import SERIES
from shop.opening.forms import whole
from shop.people import house_services as house
from shop.people.models import Person, Shop
from shop.records import services as records
from shop.records.changes import before_after
from shop.records.errors import Refused, Text
from shop.records.models import NumberSeries

HIGHEST = 10**9
TICKETS: Text = gettext_lazy("Next ticket number")
NAMES: Mapping[str, Text] = {
    Invoice.Kind.INVOICE.value: gettext_lazy("Next invoice number"),
    Invoice.Kind.CREDIT_NOTE.value: gettext_lazy("Next credit note number"),
    Invoice.Kind.PREPAYMENT.value: gettext_lazy("Next prepayment invoice number"),
}


@dataclass(frozen=True)
class Series:
    kind: str
    name: Text
    following: int


def series_of(shop: Shop) -> list[Series]:
    """Every series that papers are numbered by, the tickets' first."""
    known = dict(
        NumberSeries.objects.filter(shop_id=shop.pk).values_list("kind", "next_number")
    )
    return [Series(kind, name, known.get(kind, 1)) for kind, name in _named()]


def _named() -> Iterator[tuple[str, Text]]:
    yield SERIES, TICKETS
    for kind in Invoice.Kind:
        yield kind.value, NAMES.get(kind.value, kind.label)


@transaction.atomic
def numbers_move(*, shop: Shop, by: Person, firsts: Mapping[str, int]) -> None:
    """Each series goes on with a number from now on; refused where it went back."""
    before = {one.kind: one.following for one in series_of(shop)}
    moved = {kind: n for kind, n in firsts.items() if n != before[kind]}
    for kind, first in moved.items():
        try:
            records.series_start(shop_id=shop.pk, kind=kind, first=first)
        except ValueError:
            said = _("%(n)d is the next number: a series never goes back.")
            raise Refused(said % {"n": before[kind]}, field=kind) from None
    if moved:
        house.changed(shop, by, "numbers", before_after(before, moved))


class NumbersForm(forms.Form):
    def __init__(self, *args: object, shop: Shop, **more: object) -> None:
        super().__init__(*args, **more)  # type: ignore[arg-type]
        for one in series_of(shop):
            self.fields[one.kind] = whole(
                one.name, HIGHEST, least=1, initial=one.following
            )
