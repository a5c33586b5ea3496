"""What of an invoice is taken back, as it is typed."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.billing.crediting.left import LineLeft
from shop.intake.fields import choice, text
from shop.money import Money
from shop.money_fields import InCurrency, MoneyField, NumberField

ALL, PART = "all", "part"


class CreditForm(InCurrency):
    """All that is left, or a sum of some lines; each line has its field."""

    reason = text(_("Why it is taken back"), 200, is_needed=True)
    reason.help_text = _("Printed on the credit note.")
    extent = choice(
        _("What is taken back"),
        [(ALL, _("all that is left")), (PART, _("only the sums below"))],
        initial=ALL,
    )

    def __init__(
        self,
        *args: Any,
        left: Sequence[LineLeft],
        out: Mapping[int, int] | None = None,
        **kwargs: Any,
    ) -> None:
        self.places = [one.place for one in left if one.net]
        self.out = {p: n for p, n in (out or {}).items() if p in self.places}
        super().__init__(*args, **kwargs)
        for one in left:
            if one.net:
                self.fields[f"line_{one.place}"] = _field_of(one)
                self._ask_for_the_part(one.place)

    def _ask_for_the_part(self, place: int) -> None:
        """Whether what was sold comes back, and where several were, how many."""
        most = self.out.get(place, 0)
        if most:
            self.fields[f"back_{place}"] = forms.BooleanField(
                label=_("The part comes back to the shelf"), required=False
            )
        if most > 1:
            self.fields[f"pieces_{place}"] = NumberField(
                label=_("Pieces that come back"),
                required=False,
                digits=0,
                least=1,
                most=most,
                help_text=_("Empty: all %(n)d that were sold.") % {"n": most},
            )

    @property
    def line_fields(self) -> list[list[Any]]:
        """The fields of each line: its sum, and what becomes of its part."""
        names = ("line", "back", "pieces")
        return [
            [self[f"{n}_{place}"] for n in names if f"{n}_{place}" in self.fields]
            for place in self.places
        ]

    def shelved(self) -> dict[int, int]:
        """How many pieces come back to the shelf, by the line's place."""
        typed = self.cleaned_data
        return {
            place: int(typed.get(f"pieces_{place}") or most)
            for place, most in self.out.items()
            if typed.get(f"back_{place}")
        }

    def takes(self) -> dict[int, Money] | None:
        """The net to take back by the line's place; ``None`` where it is all."""
        if self.cleaned_data["extent"] != PART:
            return None
        sums = {place: self.cleaned_data[f"line_{place}"] for place in self.places}
        return {place: money for place, money in sums.items() if money}


def _field_of(one: LineLeft) -> MoneyField:
    field = MoneyField(
        label=one.line.text,
        required=False,
        least=None,
        help_text=_("%(left)s before tax is left.") % {"left": one.net},
    )
    field.currency = one.net.currency
    return field
