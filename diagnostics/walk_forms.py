"""What is typed along the walk: how the board stands, and why a check is passed by."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics.forms import FITTED, QuantityField
from diagnostics.models import ConditionSet, PassedBy


class ConditionForm(forms.Form):
    """The board is so now: its condition for a check, and what it is supplied with."""

    check_id = forms.CharField(max_length=20, widget=forms.HiddenInput)
    condition = forms.ChoiceField(
        choices=ConditionSet.Condition.choices, widget=forms.HiddenInput
    )
    uuid = forms.UUIDField(required=False, widget=forms.HiddenInput)
    supply_volts = QuantityField(unit="V", label=_("Supply set to"))
    supply_limit_amps = QuantityField(unit="A", label=_("Limit set to"))
    fitted = forms.MultipleChoiceField(
        required=False,
        label=_("In the board now"),
        choices=FITTED,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "stand_%s", **kwargs})


class PassByForm(forms.Form):
    """Why a check is passed by; words of one's own where no chip fits."""

    check_id = forms.CharField(max_length=20, widget=forms.HiddenInput)
    uuid = forms.UUIDField(required=False, widget=forms.HiddenInput)
    why = forms.ChoiceField(choices=PassedBy.Why.choices)
    words = forms.CharField(required=False, max_length=500, label=_("In words"))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "skip_%s", **kwargs})
