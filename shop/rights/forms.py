"""What the owner may set and must tick: cleaning only."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.rights.periods import CLASSES, MOST


class ReadForm(forms.Form):
    has_read = forms.BooleanField(
        label=_("I have read what goes and what stays"),
        error_messages={"required": _("Read what goes first, then tick this.")},
    )


class NamelessForm(forms.Form):
    needs_no_name = forms.BooleanField(
        label=_("The law asks for no name on these papers"),
        error_messages={"required": _("Make sure of that first, then tick this.")},
    )


class PeriodsForm(forms.Form):
    """Days for each class of the table."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for kept in CLASSES.values():
            self.fields[kept.what] = forms.IntegerField(
                label=_("%(what)s: days") % {"what": kept.title},
                min_value=kept.least,
                max_value=MOST,
                widget=forms.TextInput(attrs={"inputmode": "numeric", "size": "6"}),
            )
