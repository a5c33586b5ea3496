"""What is typed or tapped at the circuit finder: cleaning only."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.engine.landmarks_figures import RAILS, Circuit
from diagnostics.finder import COLUMNS, ROWS
from diagnostics.models import BoardMark, BoardOutline, PictureSide

LANDMARKS = [
    choice
    for choice in BoardMark.Kind.choices
    if choice[0] not in {"inductor", "corner", "point"}
]
LARGEST_ID = 2**63 - 1


class MarkForm(forms.Form):
    """A mark: by a tap (x, y in parts of the picture) or by a cell of its grid."""

    kind = forms.CharField(max_length=12)
    x = forms.FloatField(required=False, widget=forms.HiddenInput)
    y = forms.FloatField(required=False, widget=forms.HiddenInput)
    cell = forms.CharField(label=_("Cell, such as C4"), max_length=2, required=False)
    size = forms.TypedChoiceField(
        label=_("How large"),
        choices=BoardMark.Size.choices,
        coerce=int,
        empty_value=None,
        required=False,
        widget=forms.RadioSelect,
    )
    look = forms.ChoiceField(
        label=_("Looks"),
        choices=BoardMark.Look.choices,
        required=False,
        widget=forms.RadioSelect,
    )
    marking = forms.CharField(
        label=_("Marking, if any"),
        max_length=8,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off", "placeholder": "R22"}),
    )
    rail_id = forms.CharField(max_length=40, required=False)

    def clean_cell(self) -> str:
        cell = str(self.cleaned_data["cell"]).strip().upper()
        if cell and (len(cell) != 2 or cell[0] not in COLUMNS or cell[1] not in ROWS):
            raise forms.ValidationError(_("A cell is A to H and 1 to 6, such as C4."))
        return cell

    def clean(self) -> dict[str, Any]:
        """A cell stands for its middle."""
        asked: dict[str, Any] = super().clean() or {}
        cell = asked.pop("cell", "")
        if cell:
            asked["x"] = (COLUMNS.index(cell[0]) + 0.5) / len(COLUMNS)
            asked["y"] = (ROWS.index(cell[1]) + 0.5) / len(ROWS)
        elif not self.errors and None in (asked.get("x"), asked.get("y")):
            self.add_error("cell", _("Tap the picture, or name a cell."))
        return asked


class OutlineForm(forms.Form):
    side = forms.ChoiceField(choices=PictureSide.choices)
    outline = forms.ChoiceField(
        label=_("Outline"), choices=BoardOutline.choices, widget=forms.RadioSelect
    )


class PictureForm(forms.Form):
    """A photo sent now, or one kept with the ticket."""

    side = forms.ChoiceField(choices=PictureSide.choices)
    photo = forms.FileField(label=_("Photo of this side"), required=False)
    kept = forms.IntegerField(required=False, min_value=1, max_value=LARGEST_ID)
    is_nothing_personal = forms.BooleanField(
        label=_("I looked: nothing of the customer’s is on it"), required=False
    )

    def clean(self) -> dict[str, Any]:
        asked: dict[str, Any] = super().clean() or {}
        if not asked.get("photo") and not asked.get("kept") and not self.errors:
            self.add_error("photo", _("Choose a photo."))
        return asked


class WordForm(forms.Form):
    """What a group serves: a circuit, or one of its rails ("cpu/cpu.aux")."""

    marks = forms.CharField(max_length=400)
    circuit = forms.CharField(max_length=60)
    settles = forms.IntegerField(required=False, min_value=0, max_value=LARGEST_ID)

    def clean_marks(self) -> list[int]:
        told = self.cleaned_data["marks"].split(",")
        if not all(one.isascii() and one.isdigit() and len(one) < 18 for one in told):
            raise forms.ValidationError(_("No such group."))
        return [int(one) for one in told]

    def clean(self) -> dict[str, Any]:
        asked: dict[str, Any] = super().clean() or {}
        circuit, _slash, rail = str(asked.get("circuit", "")).partition("/")
        asked |= {"circuit": circuit, "rail_id": rail}
        asked["settles"] = asked.get("settles") or 0
        return asked


def choices_of(rails: dict[Circuit, tuple[str, ...]]) -> list[tuple[Circuit, str]]:
    """Every circuit alone, and each rail where it has several: (circuit, rail)."""
    found = []
    for circuit in RAILS:
        own = rails.get(circuit, ())
        found += [(circuit, "")] if own else []
        found += [(circuit, rail) for rail in own if len(own) > 1]
    return found
