"""What is typed about money: cleaning only."""

from datetime import datetime
from typing import Any

from django import forms
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.billing.likely import Shelf
from shop.billing.models import LabourKind, Payment, StockItem
from shop.billing.shelf_choice import ShelfChoice
from shop.money import Money
from shop.money_fields import InCurrency, MoneyField

# A credit is moved by an act of its own, and never handed over.
HANDED_OVER = [
    choice for choice in Payment.Method.choices if choice[0] != Payment.Method.CREDIT
]


def day_field(label: Any, **more: Any) -> forms.DateField:
    widget = forms.DateInput(attrs={"type": "date"})
    return forms.DateField(label=label, required=False, widget=widget, **more)


class TimeForm(forms.Form):
    kind = forms.ChoiceField(label=_("Kind of work"), choices=LabourKind.choices)
    minutes = forms.IntegerField(label=_("Minutes"), min_value=1, max_value=24 * 60)
    started_at = forms.DateTimeField(
        label=_("Started"),
        required=False,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}),
        help_text=_("Empty: it ended just now."),
    )

    def clean_started_at(self) -> datetime | None:
        started_at: datetime | None = self.cleaned_data["started_at"]
        if started_at is not None and started_at > timezone.now():
            raise forms.ValidationError(_("This lies ahead."))
        return started_at


class PartForm(InCurrency):
    """A part from the shelf, or one that was bought or salvaged for this job."""

    item = ShelfChoice(
        label=_("From the shelf"),
        queryset=StockItem.objects.none(),
        required=False,
        empty_label=_("not from the shelf"),
    )
    name = forms.CharField(label=_("Part"), max_length=120, required=False)
    quantity = forms.IntegerField(
        label=_("Quantity"), min_value=1, max_value=9999, initial=1
    )
    cost = MoneyField(label=_("Cost of one"), required=False)
    is_salvaged = forms.BooleanField(label=_("Salvaged part"), required=False)
    part_id = forms.RegexField(
        regex=r"^[a-z0-9_.]{1,40}$", required=False, widget=forms.HiddenInput
    )
    price = MoneyField(
        label=_("Price of one"),
        required=False,
        help_text=_("Empty: cost with the shop's markup."),
    )

    is_in_board = forms.BooleanField(
        label=_("It is in the board already"),
        required=False,
        help_text=_("Kept beyond the cap too, but not billed without a new yes."),
    )

    def __init__(
        self,
        *args: Any,
        items: QuerySet[StockItem],
        shelf: Shelf | None = None,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["item"]
        assert isinstance(field, ShelfChoice)
        field.queryset = items
        if shelf is not None:
            field.offer(shelf)

    def clean(self) -> dict[str, Any]:
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        item = typed.get("item")
        if item is not None:
            return typed
        if not typed.get("name") and "name" not in self.errors:
            self.add_error("name", _("Name the part, or take one from the shelf."))
        needs_cost = not typed.get("is_salvaged") and "cost" not in self.errors
        if needs_cost and typed.get("cost") is None:
            self.add_error("cost", _("Say what it cost."))
        return typed

    def part(self) -> dict[str, Any]:
        """The part as typed, or as the shelf knows it."""
        part = dict(self.cleaned_data)
        item: StockItem | None = part["item"]
        if item is not None:
            known = {"name": item.name, "cost": item.cost, "part_id": item.part_id}
            return part | known
        if part["is_salvaged"]:
            part["cost"] = Money.of(0, self.currency)
        return part


class OrderForm(InCurrency):
    supplier = forms.CharField(label=_("Supplier"), max_length=120)
    name = forms.CharField(label=_("Part"), max_length=120)
    quantity = forms.IntegerField(
        label=_("Quantity"), min_value=1, max_value=9999, initial=1
    )
    price = MoneyField(label=_("Price of one"))
    due_on = day_field(_("Expected on"))
    reference = forms.CharField(
        label=_("Supplier’s order number"), max_length=40, required=False
    )
    their_code = forms.CharField(
        label=_("Supplier’s number of the part"), max_length=40, required=False
    )


class PaymentForm(InCurrency):
    amount = MoneyField(
        label=_("Amount"), least=None, help_text=_("Money back: with a minus.")
    )
    method = forms.ChoiceField(label=_("How"), choices=HANDED_OVER)
    reference = forms.CharField(label=_("Reference"), max_length=80, required=False)
    reason = forms.CharField(label=_("Money back: why"), max_length=200, required=False)
    keeps_more = forms.BooleanField(
        label=_("More than is due: keep it as the customer’s credit"), required=False
    )
