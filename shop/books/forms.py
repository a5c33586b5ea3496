"""What is typed at the till and for the books: cleaning only."""

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shop.books.models import CashMove
from shop.books.posting.till import pieces_of, sum_of
from shop.intake.fields import choice, text
from shop.money import Money
from shop.money_fields import InCurrency, MoneyField

MOST_PIECES = 100_000


def _day(label: Any) -> forms.DateField:
    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    return forms.DateField(label=label, widget=widget)


class PeriodForm(forms.Form):
    first = _day(gettext_lazy("First day"))
    last = _day(gettext_lazy("Last day"))


class CashMoveForm(InCurrency):
    why = choice(gettext_lazy("What for"), CashMove.Why.choices)
    amount = MoneyField(label=gettext_lazy("Amount"))
    said = text(gettext_lazy("Remark"), 200)


class CountForm(InCurrency):
    """Notes and coins one by one, or one sum; both only if they agree."""

    counted = MoneyField(label=gettext_lazy("Counted, as one sum"), required=False)
    reason = text(gettext_lazy("Why it differs"), 300)
    after = forms.IntegerField(widget=forms.HiddenInput, min_value=0)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for piece in pieces_of(self.currency):
            self.fields[f"piece_{piece}"] = forms.IntegerField(
                label=str(Money.from_minor(piece, self.currency)),
                required=False,
                min_value=0,
                max_value=MOST_PIECES,
                widget=forms.TextInput(
                    attrs={"inputmode": "numeric", "autocomplete": "off"}
                ),
            )

    @property
    def pieces_open(self) -> bool:
        return any(field.data for field in self.pieces_shown())

    def pieces_shown(self) -> Iterator[forms.BoundField]:
        return (self[f"piece_{piece}"] for piece in pieces_of(self.currency))

    @property
    def pieces(self) -> Mapping[int, int]:
        found = {
            piece: self.cleaned_data.get(f"piece_{piece}") or 0
            for piece in pieces_of(self.currency)
        }
        return {piece: count for piece, count in found.items() if count}

    def clean(self) -> dict[str, Any]:
        counted, pieces = self.cleaned_data.get("counted"), self.pieces
        summed = Money.from_minor(sum_of(pieces), self.currency)
        if counted is None and not pieces and "counted" not in self.errors:
            self.add_error("counted", _("Count the till: one sum, or piece by piece."))
        elif counted is not None and pieces and counted != summed:
            said = {"sum": summed}
            self.add_error("counted", _("The pieces come to %(sum)s.") % said)
        elif pieces:
            self.cleaned_data["counted"] = summed
        return self.cleaned_data


class ReminderRuleForm(forms.Form):
    first = forms.IntegerField(
        label=gettext_lazy("First reminder, days after the due day"),
        min_value=1,
        max_value=365,
    )
    second = forms.IntegerField(
        label=gettext_lazy("Second reminder"), min_value=2, max_value=365
    )
    last = forms.IntegerField(
        label=gettext_lazy("Last reminder"), min_value=3, max_value=365
    )


class AccountsForm(forms.Form):
    """A number and a name for each account, from a day on."""

    since = _day(gettext_lazy("From which day on"))

    def __init__(
        self, *args: Any, codes: Mapping[str, tuple[str, str]], since: date, **more: Any
    ) -> None:
        super().__init__(*args, **more)
        self.codes = codes
        self.fields["since"].initial = since
        for code, (number, name) in codes.items():
            self.fields[f"{code}-number"] = self._cell(_("Number"), number, name, 20)
            self.fields[f"{code}-name"] = self._cell(_("Name"), name, name, 80)

    @staticmethod
    def _cell(what: str, initial: str, name: str, longest: int) -> forms.CharField:
        field = text(what, longest, is_needed=True)
        field.initial = initial
        field.widget.attrs["aria-label"] = f"{what}: {name}"
        return field

    def rows(self) -> Iterator[tuple[forms.BoundField, forms.BoundField]]:
        return ((self[f"{code}-number"], self[f"{code}-name"]) for code in self.codes)
