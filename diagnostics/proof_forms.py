"""What is typed and tapped of the proof: cleaning only."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics import proof, sayings
from diagnostics.models import ProofItem, ProofLevel
from diagnostics.proof_closing import COUNTED
from shop.intake.models import ClosingKind

TICK = "tick-"
WORDS = _("In words")
WORKED = (ProofItem.Result.PASSED, ProofItem.Result.FAILED, ProofItem.Result.NOT_FITTED)


class ProofForm(forms.Form):
    """One item of the proof of repair."""

    item = forms.ChoiceField(
        label=_("Item"),
        choices=lambda: [
            *((one, sayings.proof_name(one)) for one in proof.ITEMS),
            (COUNTED, _("What came with it")),
        ],
    )
    part = forms.CharField(max_length=40, required=False, widget=forms.HiddenInput)
    result = forms.ChoiceField(label=_("Result"), choices=ProofItem.Result.choices)
    count = forms.IntegerField(
        label=_("Times"), required=False, min_value=0, max_value=1000
    )
    minutes = forms.IntegerField(
        label=_("Minutes"), required=False, min_value=0, max_value=10000
    )
    words = forms.CharField(label=WORDS, max_length=500, required=False)


class TicksForm(forms.Form):
    """The ticks of one item: each works, failed, or is not fitted."""

    item = forms.ChoiceField(choices=[(one, one) for one in proof.ITEMS])
    words = forms.CharField(label=WORDS, max_length=500, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for tick in (*proof.FUNCTIONS, *proof.BOTH_PORTS_BOTH_SIDES):
            self.fields[TICK + tick] = forms.ChoiceField(
                required=False, choices=[("", ""), *((one, one) for one in WORKED)]
            )

    def ticks(self) -> dict[str, str]:
        return {
            name.removeprefix(TICK): value
            for name, value in self.cleaned_data.items()
            if name.startswith(TICK) and value
        }


class RunForm(forms.Form):
    item = forms.ChoiceField(choices=[(one, one) for one in proof.ITEMS])


class HappenedForm(forms.Form):
    """What happened while it ran."""

    result = forms.ChoiceField(
        choices=[
            (one.value, one.label)
            for one in (ProofItem.Result.PASSED, ProofItem.Result.FAILED)
        ]
    )
    words = forms.CharField(label=WORDS, max_length=500, required=False)


class LevelForm(forms.Form):
    level = forms.ChoiceField(
        label=_("How far"), choices=ProofLevel.Level.choices, widget=forms.RadioSelect
    )


class PhotosForm(forms.Form):
    """The photos that the sheet shows, by number."""

    photos = forms.TypedMultipleChoiceField(required=False, coerce=int)

    def __init__(self, *args: Any, ids: list[int], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["photos"]
        assert isinstance(field, forms.TypedMultipleChoiceField)
        field.choices = [(one, str(one)) for one in ids]


class EndForm(forms.Form):
    """How it ended, as far as the proof decides it."""

    kind = forms.ChoiceField(
        choices=[
            (one.value, one.label) for one in (ClosingKind.FIXED, ClosingKind.IMPROVED)
        ]
    )
