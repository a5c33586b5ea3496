"""What is typed and tapped of suspects and of what is seen: cleaning only."""

from typing import Any

from django import forms
from django.utils.text import capfirst
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from diagnostics import sayings
from diagnostics.bridge import Known
from diagnostics.forms import SuspectField
from diagnostics.models import Sighting, SuspectWord

Chip = SuspectWord.Chip
WHY_STRUCK = (
    Chip.MEASURED_GOOD,
    Chip.SEEN_INTACT,
    Chip.RENEWED,
    Chip.NOT_ON_BOARD,
)
WHY_ADDED = (Chip.KNOWN_WEAKNESS, Chip.LOOKS_WRONG)


class SuspectForm(forms.Form):
    """A suspect of this board by its part and way of failing."""

    suspect = SuspectField(label=_("Part and failure"))

    def __init__(self, *args: Any, known: Known, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "said_%s", **kwargs})
        suspect = self.fields["suspect"]
        assert isinstance(suspect, SuspectField)
        suspect.offer(known)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        part, _colon, mode = data.pop("suspect", "").partition(":")
        return {**data, "part_id": part, "mode_id": mode}


class SuspectWordForm(SuspectForm):
    """A suspect added or struck, with a reason; or a word on one taken back."""

    kind = forms.ChoiceField(
        label=_("Your word"),
        choices=SuspectWord.Kind.choices,
        initial=SuspectWord.Kind.ADDED,
        widget=forms.HiddenInput,
    )
    chip = forms.ChoiceField(
        label=_("Why"),
        required=False,
        choices=[(one.value, one.label) for one in (*WHY_ADDED, Chip.OTHER)],
        widget=forms.RadioSelect,
    )
    words = forms.CharField(required=False, max_length=500, label=_("In words"))

    def __init__(self, *args: Any, known: Known, **kwargs: Any) -> None:
        super().__init__(*args, known=known, **kwargs)
        if self.is_bound and self["kind"].data == SuspectWord.Kind.STRUCK:
            chip = self.fields["chip"]
            assert isinstance(chip, forms.ChoiceField)
            chip.choices = [(one.value, one.label) for one in (*WHY_STRUCK, Chip.OTHER)]


class SightingForm(forms.Form):
    """What is seen, and at which part or rail."""

    kind = forms.ChoiceField(
        label=_("What you see"),
        choices=Sighting.Kind.choices,
        widget=forms.RadioSelect,
    )
    where = forms.ChoiceField(label=_("At which part or rail"))
    place = forms.CharField(label=_("Marking or place"), max_length=80, required=False)
    uuid = forms.UUIDField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, known: Known, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "seen_%s", **kwargs})
        where = self.fields["where"]
        assert isinstance(where, forms.ChoiceField)
        where.choices = [
            ("", _("choose one")),
            (gettext("Parts"), named("part", known.board.parts.values())),
            (gettext("Rails"), named("rail", known.board.rails.values())),
        ]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        kind, _colon, id_ = data.pop("where", "").partition(":")
        part, rail = (id_, "") if kind == "part" else ("", id_)
        return {**data, "part_id": part, "rail_id": rail}


def named(kind: str, things: Any) -> list[tuple[str, str]]:
    """``part:p.dual`` with its name, for a choice."""
    return [
        (f"{kind}:{one.id}", capfirst(sayings.family_text(one.name))) for one in things
    ]
