"""What a person may choose for themselves: cleaning only."""

from django import forms
from django.utils.translation import gettext_lazy as _


class OwnForm(forms.Form):
    hides_suspects = forms.BooleanField(
        required=False,
        label=_("Hide suspects at the bench until I ask for them"),
        help_text=_(
            "The ladder then carries no marks, and an offered check names no part: "
            "think first, then compare."
        ),
    )
