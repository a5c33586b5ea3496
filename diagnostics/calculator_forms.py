"""A form made of a calculator's description; what was typed stays as typed."""

from collections.abc import Callable, Mapping
from typing import Any

from django import forms

from diagnostics import sayings
from diagnostics.engine.calculators.shape import Calculator, Input, Kind


class CalculatorForm(forms.Form):
    """One field for each input that a person gives; reading them is the engine's."""

    def __init__(self, calculator: Calculator, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.calculator = calculator
        for one in calculator.inputs:
            if one.kind is not Kind.KNOWN:
                self.fields[one.name] = FIELDS.get(one.kind, text_field)(one)

    def typed_fields(self) -> list[forms.BoundField]:
        return [one for one in self if one.widget_type != "checkbox"]

    def tick_fields(self) -> list[forms.BoundField]:
        """What is ticked stands together, last before the work."""
        return [one for one in self if one.widget_type == "checkbox"]

    def refuse(self, errors: Mapping[str | None, str]) -> None:
        """Say what was refused beside its field, else above them all."""
        for name, text in errors.items():
            self.add_error(name if name in self.fields else None, text)


def described(one: Input) -> dict[str, Any]:
    return {
        "label": sayings.family_text(one.label),
        "required": False,
        "help_text": sayings.family_text(one.help),
    }


def text_field(one: Input) -> forms.Field:
    field = forms.CharField(**described(one))
    field.widget.attrs["autocomplete"] = "off"
    field.mark = one.mark or sayings.unit(one.unit)  # type: ignore[attr-defined]
    return field


def many_field(one: Input) -> forms.Field:
    field = text_field(one)
    field.widget = forms.Textarea(attrs={"rows": 5, "autocomplete": "off"})
    return field


def tick_field(one: Input) -> forms.Field:
    return forms.BooleanField(**described(one))


def choice_field(one: Input) -> forms.Field:
    choices = [(value, sayings.family_text(name)) for value, name in one.choices]
    return forms.ChoiceField(
        choices=choices, widget=forms.RadioSelect, **described(one)
    )


FIELDS: Mapping[Kind, Callable[[Input], forms.Field]] = {
    Kind.MANY: many_field,
    Kind.TICK: tick_field,
    Kind.CHOICE: choice_field,
}
