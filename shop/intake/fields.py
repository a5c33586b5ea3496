"""The fields of which the counter's forms are made."""

from collections.abc import Iterable
from typing import TYPE_CHECKING, Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.intake.services.rows import LONGEST_TEXT

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise as Text

TOO_LONG = _("Too long: at most %(limit_value)d characters, this has %(show_value)d.")
LONGEST_PHONE = 200


def text(label: "Text", longest: int, *, is_needed: bool = False) -> forms.CharField:
    return forms.CharField(
        label=label,
        max_length=longest,
        required=is_needed,
        error_messages={"max_length": TOO_LONG},
    )


def long_text(
    label: "Text", *, is_needed: bool = False, rows: int = 3
) -> forms.CharField:
    field = text(label, LONGEST_TEXT, is_needed=is_needed)
    field.widget = forms.Textarea(attrs={"rows": rows})
    return field


def takes_scans(field: forms.CharField) -> forms.CharField:
    """What a scanner reads here stays in the field, unless it is a code of ours."""
    field.widget.attrs["data-takes-scans"] = ""
    return field


def choice(
    label: "Text", choices: Iterable[tuple[Any, Any]], *, initial: str = ""
) -> forms.ChoiceField:
    """Joined boxes; what is left alone stays as it is offered."""
    return forms.ChoiceField(
        label=label,
        choices=list(choices),
        widget=forms.RadioSelect,
        initial=initial,
        required=not initial,
    )


def year(label: "Text") -> forms.IntegerField:
    """A year, which nobody needs to know; the act says which ones can be."""
    return forms.IntegerField(
        label=label,
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "maxlength": 4}),
    )


def day(label: "Text") -> forms.DateField:
    return forms.DateField(
        label=label, required=False, widget=forms.DateInput(attrs={"type": "date"})
    )


def moment(label: "Text", *, is_needed: bool = False) -> forms.DateTimeField:
    widget = forms.DateTimeInput(
        attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"
    )
    return forms.DateTimeField(label=label, required=is_needed, widget=widget)


def ticks(label: "Text", choices: Iterable[tuple[Any, Any]]) -> forms.ChoiceField:
    """Boxes to tick, none of them needed."""
    return forms.MultipleChoiceField(
        label=label,
        choices=list(choices),
        widget=forms.CheckboxSelectMultiple,
        required=False,
    )


class PhoneField(forms.CharField):
    """Whatever was said: no intake is refused over a number. Cut where no row ends."""

    def to_python(self, value: Any) -> str:
        said = super().to_python(value) or ""
        return said.replace("\0", "")[:LONGEST_PHONE]


def phone_field() -> PhoneField:
    widget = forms.TextInput(attrs={"maxlength": LONGEST_PHONE})
    return PhoneField(label=_("Phone"), required=False, widget=widget)
