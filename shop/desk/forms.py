"""Handing over: count it back, say where it goes, sign."""

from collections.abc import Iterator
from typing import Any

from django import forms
from django.forms import BoundField
from django.utils.translation import gettext_lazy as _

from shop.intake.fields import choice, text
from shop.intake.forms import ON_PAPER, ON_SCREEN, SIGNED
from shop.intake.models import DriveEnd, HandoverWay, Ticket
from shop.intake.services import Ending
from shop.intake.things import Kept, things_of
from shop.money_fields import InCurrency, MoneyField


class HandoverForm(InCurrency):
    """Each thing that is here has a box of its own; none is ticked beforehand."""

    way = choice(_("Where it goes"), HandoverWay.choices, initial=HandoverWay.COLLECTED)
    given_to = text(_("Given to"), 200, is_needed=True)
    missing = text(_("Where the rest is, if not all is ticked"), 200)
    tracking = text(_("Tracking number"), 60)
    drive = forms.ChoiceField(
        label=_("The drive"),
        choices=DriveEnd.choices,
        widget=forms.RadioSelect,
        required=False,
    )
    price = MoneyField(label=_("Price that we pay"), required=False)
    owing_reason = text(_("Why unpaid"), 200)
    signed = choice(_("Signature"), SIGNED, initial=ON_PAPER)
    signature = forms.CharField(required=False, widget=forms.HiddenInput)
    paper_signed = forms.BooleanField(
        label=_("The paper is signed, and we keep it"), required=False
    )

    def __init__(self, data: Any, *, ticket: Ticket) -> None:
        way = HandoverWay.SENT if ticket.tracking else HandoverWay.COLLECTED
        first = {"given_to": ticket.customer.name, "way": way}
        super().__init__(data, currency=ticket.currency, initial=first)
        self.here: list[Kept] = []
        for kept in things_of(ticket):
            if not kept.is_given_back:
                self.here.append(kept)
                self.fields[_box(kept)] = forms.BooleanField(
                    label=f"{kept.tag} {kept.thing}", required=False
                )

    def boxes(self) -> Iterator[tuple[BoundField, Kept]]:
        for kept in self.here:
            yield self[_box(kept)], kept

    def ending(self) -> Ending:
        typed = self.cleaned_data
        way = typed["way"] or HandoverWay.COLLECTED
        return Ending(
            way=way,
            counted=[kept.thing.pk for kept in self.here if typed[_box(kept)]],
            missing=typed["missing"],
            tracking=typed["tracking"] if way == HandoverWay.SENT else "",
            drive=typed["drive"],
            price=typed["price"] if way == HandoverWay.SOLD else None,
        )

    def acting(self) -> dict[str, Any]:
        """What the act takes."""
        typed = self.cleaned_data
        return {
            "given_to": typed["given_to"],
            "owing_reason": typed["owing_reason"],
            "ending": self.ending(),
            "drawn": typed["signature"] if typed["signed"] == ON_SCREEN else "",
            "is_paper_signed": typed["paper_signed"],
        }


def _box(kept: Kept) -> str:
    return f"thing-{kept.thing.tag}"
