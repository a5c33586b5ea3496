"""What is typed or chosen about photos: cleaning only."""

from datetime import UTC, datetime
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.photos.models import Side
from shop.photos.services import LONGEST_NOTE

LATEST = 4_102_444_800_000  # the year 2100, in milliseconds


class SideForm(forms.Form):
    """What is sent with photos. ``taken`` is the file's own time, in milliseconds."""

    side = forms.ChoiceField(label=_("They show"), choices=Side.choices)
    taken = forms.IntegerField(required=False, min_value=0, max_value=LATEST)

    def taken_at(self) -> datetime | None:
        taken: Any = self.cleaned_data.get("taken")
        return datetime.fromtimestamp(taken / 1000, UTC) if taken else None


class DescribeForm(forms.Form):
    side = forms.ChoiceField(label=_("It shows"), choices=Side.choices)
    note = forms.CharField(
        label=_("A few words"), max_length=LONGEST_NOTE, required=False
    )


class KeepingForm(forms.Form):
    days = forms.IntegerField(
        label=_("Days after the handover"), min_value=1, max_value=3650
    )
