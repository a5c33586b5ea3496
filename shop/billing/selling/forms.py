"""What is typed at a sale: lines, and how they are paid."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.billing import inclusive, markup
from shop.billing.forms import HANDED_OVER
from shop.billing.models import Payment, StockItem
from shop.billing.rates.charges import charges_by
from shop.billing.services.sales import Sold
from shop.intake.fields import choice, long_text, takes_scans, text
from shop.money import Money
from shop.money_fields import InCurrency, MoneyField, NumberField
from shop.people.models import Shop, Terms

MOST_ROWS = 40
FREE_ROWS = 1


class SaleForm(InCurrency):
    scan = takes_scans(text(_("Scan or type a part’s code"), 100))
    method = choice(_("Paid by"), HANDED_OVER, initial=Payment.Method.CASH)
    given = MoneyField(
        label=_("Money given"), required=False, help_text=_("For the change.")
    )
    name = text(_("Name"), 200)
    address = long_text(_("Address"), rows=2)
    tax_id = text(_("VAT id"), 40)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["scan"].widget.attrs |= {"data-adds": "add", "autofocus": True}

    def buyer(self) -> dict[str, str]:
        return {name: self.cleaned_data[name] for name in ("name", "address", "tax_id")}

    @property
    def buyer_fields(self) -> list[forms.BoundField]:
        return [self[name] for name in ("name", "address", "tax_id")]


class SoldForm(InCurrency):
    """A line: a part off the shelf by its ``code``, or whatever is typed."""

    code = forms.CharField(max_length=40, required=False, widget=forms.HiddenInput)
    text = forms.CharField(label=_("What"), max_length=200)
    quantity = NumberField(label=_("Quantity"), digits=3, required=False)
    price = MoneyField(label=_("Price of one"))
    tax_percent = NumberField(label=_("Tax, %"), digits=2, most=100, required=False)

    def sold(self, shop: Shop, usual_tax: Decimal) -> Sold:
        """The line; an empty quantity is one, empty tax the shop's own."""
        typed = self.cleaned_data
        quantity, tax = typed["quantity"], typed["tax_percent"]
        return Sold(
            text=typed["text"],
            quantity=Decimal(1) if quantity is None else quantity,
            price=typed["price"],
            tax_percent=usual_tax if tax is None else tax,
            item=item_of(shop, typed["code"]) if typed["code"] else None,
        )


class BaseSold(forms.BaseFormSet):  # type: ignore[type-arg]  # not at run time
    """Any line may be emptied again, also one that a scan has put there."""

    def initial_form_count(self) -> int:
        return 0

    def total_form_count(self) -> int:
        if self.is_bound:
            return super().total_form_count()
        return len(self.initial or ()) + self.extra


SoldForms = forms.formset_factory(
    SoldForm,
    formset=BaseSold,
    extra=FREE_ROWS,
    max_num=MOST_ROWS,
    absolute_max=MOST_ROWS,
    validate_max=True,
)


def item_of(shop: Shop, code: str) -> StockItem | None:
    """The part of this code, however its letters are written."""
    return shop.stock_items.filter(code__iexact=code.strip()).first()


def price_of(item: StockItem, terms: Terms) -> Money:
    """Its cost with the shop's markup; with tax, where the shop says prices so."""
    net = markup.price_of(item.cost, charges_by(terms, item.currency).tiers())
    if not terms.prices_with_tax:
        return net
    return inclusive.with_tax(net, usual_tax(terms))


def usual_tax(terms: Terms) -> Decimal:
    return Decimal(terms.tax_basis_points).scaleb(-2).normalize()


Row = dict[str, str]


def rows_typed(posted: Mapping[str, Any], prefix: str) -> list[Row]:
    """The lines as they were typed, right or not, without those left empty."""
    count = str(posted.get(f"{prefix}-TOTAL_FORMS", ""))
    numbers = range(min(int(count), MOST_ROWS) if count.isdecimal() else 0)
    names = SoldForm.base_fields
    rows = [
        {n: str(posted.get(f"{prefix}-{i}-{n}", "")) for n in names} for i in numbers
    ]
    return [row for row in rows if any(row.values())]


def with_one_more(rows: list[Row], item: StockItem, price: Money) -> list[Row]:
    """The lines and this part; scanned again, it is one more of the same."""
    for row in rows:
        if row["code"] == item.code:
            before = row["quantity"]
            row["quantity"] = str(int(before) + 1) if before.isdecimal() else "2"
            return rows
    new = {"code": item.code, "text": item.name, "quantity": "1", "tax_percent": ""}
    return [*rows, {**new, "price": str(price.amount)}]
