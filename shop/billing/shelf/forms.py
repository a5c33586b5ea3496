"""What is typed about the shelf: cleaning only."""

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shop.billing.forms import day_field
from shop.billing.models import StockItem
from shop.billing.shelf_models import Claim, ClaimEnd
from shop.intake import numbers, places, scans
from shop.intake import queries as tickets
from shop.intake.fields import choice, takes_scans, text
from shop.intake.models import Place, Ticket
from shop.money_fields import InCurrency, MoneyField
from shop.people.models import Shop

MOST = 9999
A_CODE = r"^[\w./+#-]{1,40}$"


def pieces(label: Any, *, least: int = 1, **more: Any) -> forms.IntegerField:
    return forms.IntegerField(label=label, min_value=least, max_value=MOST, **more)


def place_field() -> forms.CharField:
    field = takes_scans(text(gettext_lazy("Shelf place"), 100))
    field.help_text = gettext_lazy("Scan it or type its name.")
    return field


class OfShop(InCurrency):
    """A form that knows the shop, for the places and tickets that are typed."""

    def __init__(self, *args: Any, shop: Shop, **kwargs: Any) -> None:
        kwargs.setdefault("currency", shop.currency)
        super().__init__(*args, **kwargs)
        self.shop = shop

    def clean_place(self) -> Place | None:
        typed: str = self.cleaned_data["place"].strip()
        if not typed:
            return None
        here = Place.objects.filter(shop=self.shop, ended_at=None)
        read = scans.read(typed)
        place = here.filter(pk=read.place_id).first() if read.place_id else None
        place = place or places.named(self.shop, typed)
        if place is None:
            raise forms.ValidationError(_("No place is called so."))
        return place

    def clean_ticket(self) -> Ticket | None:
        typed: str = self.cleaned_data["ticket"].strip()
        if not typed:
            return None
        number = scans.read(typed).number or numbers.compact(typed)
        found = tickets.ticket_numbered(self.shop, number)
        if found is None:
            raise forms.ValidationError(_("No ticket has this number."))
        return found


class ItemForm(OfShop):
    name = text(gettext_lazy("Part"), 120, is_needed=True)
    code = forms.RegexField(
        label=gettext_lazy("Code"),
        regex=A_CODE,
        error_messages={"invalid": gettext_lazy("Letters, digits and . / + # - only.")},
    )
    barcode = takes_scans(text(gettext_lazy("Barcode on its bag"), 40))
    part_id = forms.RegexField(
        label=gettext_lazy("Kind of part"),
        regex=r"^[a-z0-9_.]{1,40}$",
        required=False,
        help_text=gettext_lazy("As the board family calls it, such as p.dual."),
    )
    place = place_field()
    supplier = text(gettext_lazy("Usual supplier"), 120)
    reorder_at = pieces(
        gettext_lazy("Order again at"),
        least=0,
        required=False,
        help_text=gettext_lazy("Empty: reckoned from what is used."),
    )

    @staticmethod
    def of(item: StockItem) -> dict[str, Any]:
        names = ("name", "code", "barcode", "part_id", "supplier", "reorder_at")
        place = item.place.name if item.place else ""
        return {name: getattr(item, name) for name in names} | {"place": place}


class BringForm(OfShop):
    """Pieces that come without an order."""

    quantity = pieces(gettext_lazy("Quantity"))
    cost = MoneyField(label=gettext_lazy("Cost of one"))
    lot = text(gettext_lazy("Batch"), 40)


class KeepForm(OfShop):
    ticket = text(gettext_lazy("For ticket"), 40, is_needed=True)
    quantity = pieces(gettext_lazy("Quantity"), initial=1)


class ReceiveForm(OfShop):
    quantity = pieces(gettext_lazy("How many came"))
    cost = MoneyField(label=gettext_lazy("Cost of one"))
    place = place_field()


class WrongForm(forms.Form):
    kind = choice(gettext_lazy("What is the matter"), Claim.Kind.choices)
    quantity = pieces(gettext_lazy("How many"))
    supplier = text(gettext_lazy("Supplier"), 120)
    is_replaced = choice(
        gettext_lazy("What the supplier does"),
        [
            ("yes", gettext_lazy("sends another one")),
            ("no", gettext_lazy("gives the money back")),
        ],
    )
    again_by = day_field(gettext_lazy("Expected on"))

    def clean_is_replaced(self) -> bool:
        return bool(self.cleaned_data["is_replaced"] == "yes")


class ClaimEndForm(InCurrency):
    how = choice(gettext_lazy("How it ended"), ClaimEnd.How.choices)
    amount = MoneyField(
        label=gettext_lazy("Credited"),
        required=False,
        help_text=gettext_lazy("Only where the money came back."),
    )
    reference = text(gettext_lazy("Number of the credit"), 40)


class StockOrderForm(OfShop):
    supplier = text(gettext_lazy("Supplier"), 120, is_needed=True)
    quantity = pieces(gettext_lazy("Quantity"))
    price = MoneyField(label=gettext_lazy("Price of one"))
    due_on = day_field(gettext_lazy("Expected on"))
    reference = text(gettext_lazy("Supplier’s order number"), 40)
    their_code = text(gettext_lazy("Supplier’s number of the part"), 40)
    their_code.help_text = gettext_lazy("Empty: as last time from this supplier.")
    ticket = text(gettext_lazy("For ticket"), 40)


class DayForm(forms.Form):
    due_on = day_field(gettext_lazy("Expected on"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["due_on"].required = True
