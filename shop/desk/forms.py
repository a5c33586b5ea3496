"""Handing over."""

from django import forms
from django.utils.translation import gettext_lazy as _


class HandoverForm(forms.Form):
    given_to = forms.CharField(label=_("Given to"), max_length=200)
    owing_reason = forms.CharField(
        label=_("Why unpaid"), max_length=200, required=False
    )
