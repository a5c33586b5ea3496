"""What of an invoice is taken back, as it is typed."""

from collections.abc import Sequence
from typing import Any

from django.utils.translation import gettext_lazy as _

from shop.billing.crediting.left import LineLeft
from shop.intake.fields import choice, text
from shop.money import Money
from shop.money_fields import InCurrency, MoneyField

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

    def __init__(self, *args: Any, left: Sequence[LineLeft], **kwargs: Any) -> None:
        self.places = [one.place for one in left if one.net]
        super().__init__(*args, **kwargs)
        for one in left:
            if one.net:
                self.fields[f"line_{one.place}"] = _field_of(one)

    @property
    def line_fields(self) -> list[Any]:
        return [self[f"line_{place}"] for place in self.places]

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
