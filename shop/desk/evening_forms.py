"""The evening list as a form: minutes and kind of each share of the day."""

from dataclasses import dataclass
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.billing.models import LabourKind
from shop.billing.services.time import DAY_MINUTES
from shop.desk.evening import Evening, Line

KINDS = [choice for choice in LabourKind.choices if choice[0] != LabourKind.MACHINE]


@dataclass(frozen=True)
class Asked:
    """What a person says a share of their day was."""

    line: Line
    kind: str
    minutes: int


class DayForm(forms.Form):
    """Filled with what the clock proposes; ``digest`` says what was looked at."""

    until = forms.DateTimeField(widget=forms.HiddenInput)
    digest = forms.CharField(widget=forms.HiddenInput, max_length=16)
    round = forms.IntegerField(widget=forms.HiddenInput, min_value=0)

    def __init__(self, evening: Evening, data: Any = None) -> None:
        first = {
            "until": evening.until.isoformat(),
            "digest": evening.digest,
            "round": evening.confirmed.rounds,
        }
        super().__init__(data, initial=first)
        self.evening = evening
        for line in evening.lines:
            label = _("Minutes, %(ticket)s") % {"ticket": line.name}
            number = {"inputmode": "numeric", "step": 5, "data-minutes": ""}
            self.fields[f"m-{line.name}"] = forms.IntegerField(
                label=label,
                min_value=0,
                max_value=DAY_MINUTES,
                initial=line.minutes,
                widget=forms.NumberInput(attrs=number),
            )
            self.fields[f"k-{line.name}"] = forms.ChoiceField(
                label=_("Kind of work"), choices=KINDS, initial=line.share.kind
            )

    def anew(self, evening: Evening) -> "DayForm":
        """What was typed, beside what came in meanwhile."""
        typed = {
            name: value for name, value in self.data.items() if name[:2] in {"m-", "k-"}
        }
        form = DayForm(evening)
        for name, value in typed.items():
            if name in form.fields:
                form.fields[name].initial = value
        return form

    def asked(self) -> list[Asked]:
        return [
            Asked(
                line,
                self.cleaned_data[f"k-{line.name}"],
                self.cleaned_data[f"m-{line.name}"],
            )
            for line in self.evening.lines
        ]

    def rows(self) -> list[dict[str, Any]]:
        """The blocks of the list, each with the fields of its lines."""
        return [
            {
                "block": block,
                "lines": [
                    {
                        "line": line,
                        "minutes": self[f"m-{line.name}"],
                        "kind": self[f"k-{line.name}"],
                    }
                    for line in block.lines
                ],
            }
            for block in self.evening.blocks
        ]
