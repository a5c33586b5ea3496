"""What is typed about a donor: cleaning only."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from diagnostics import sayings
from diagnostics.donors import Donor
from diagnostics.models import DonorPaper
from shop.intake import numbers
from shop.intake import queries as intake
from shop.intake.fields import choice
from shop.intake.models import Ticket
from shop.people.models import Shop


class PaperForm(forms.Form):
    kind = choice(gettext_lazy("How it came to us"), DonorPaper.Kind.choices)
    reference = forms.CharField(
        label=gettext_lazy("The paper’s number, or where it is filed"), max_length=80
    )


class TakeOffForm(forms.Form):
    part_id = forms.ChoiceField(label=gettext_lazy("Part"), required=False)
    name = forms.CharField(
        label=gettext_lazy("Or another part, by name"), max_length=80, required=False
    )
    place = forms.CharField(
        label=gettext_lazy("Where it sat"),
        max_length=80,
        required=False,
        help_text=gettext_lazy("As printed beside it, such as PU4."),
    )
    ticket = forms.CharField(
        label=gettext_lazy("For ticket"),
        max_length=20,
        required=False,
        help_text=gettext_lazy("Empty: for the drawer."),
    )

    def __init__(self, *args: Any, donor: Donor, shop: Shop, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.shop = shop
        field = self.fields["part_id"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [("", _("another part")), *by_stage(donor)]

    def clean_ticket(self) -> Ticket | None:
        typed: str = self.cleaned_data["ticket"].strip()
        if not typed:
            return None
        found = intake.ticket_numbered(self.shop, numbers.compact(typed))
        if found is None:
            raise forms.ValidationError(_("No ticket has this number."))
        return found

    def asked(self) -> dict[str, Any]:
        """What ``part_take_off`` wants to know."""
        typed = dict(self.cleaned_data)
        return {"for_ticket": typed.pop("ticket"), **typed}


def by_stage(donor: Donor) -> Sequence[tuple[str, list[tuple[str, str]]]]:
    """All parts of the family by stage: of one kind several may sit on the board."""
    board, grouped = donor.board, dict[str, list[tuple[str, str]]]()
    for part in board.parts.values():
        if board.is_fitted(part.id):
            stage = sayings.stage_name(board, board.blocks[part.block].stage)
            named = (part.id, sayings.family_text(part.name))
            grouped.setdefault(stage, []).append(named)
    return list(grouped.items())
