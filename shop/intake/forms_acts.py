"""The small forms of acts on a ticket: cleaning only."""

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.intake import words
from shop.intake.fields import (
    choice,
    day,
    long_text,
    moment,
    takes_scans,
    text,
    year,
)
from shop.intake.models import (
    TELLING,
    ClosingKind,
    DeviceKind,
    NoFixReason,
    SafeBy,
)


class DeviceForm(forms.Form):
    """What is known of the machine; ``version`` is what the page showed."""

    version = forms.IntegerField(required=False, widget=forms.HiddenInput)
    kind = choice(_("Kind"), DeviceKind.choices)
    model = text(_("Model"), 120, is_needed=True)
    serial = takes_scans(text(_("Serial number"), 80))
    board_number_seen = takes_scans(text(_("Board number, if seen"), 80))
    year_made = year(_("Year made or bought, if known"))


class ParkForm(forms.Form):
    waits_for = choice(_("It waits for"), words.PARTIES.items())
    because = forms.ChoiceField(label=_("Because"), choices=list(words.REASONS.items()))
    until = moment(_("Until"))


class DataSafeForm(forms.Form):
    how = choice(_("How"), SafeBy.choices)


class WarrantyForm(forms.Form):
    is_covered = choice(
        _("This work is"),
        [("yes", _("Covered, no charge")), ("no", _("Not covered"))],
    )
    reason = long_text(_("Why, in writing"), is_needed=True)


class ToldForm(forms.Form):
    channel = choice(_("Told by"), TELLING)
    next_contact = day(_("Next word on"))


class PromiseForm(forms.Form):
    promise = moment(_("Ready by"), is_needed=True)


class OutcomeForm(forms.Form):
    kind = choice(_("How it ended"), ClosingKind.choices)
    no_fix_reason = forms.ChoiceField(
        label=_("If no fix: why"),
        choices=[("", "—"), *NoFixReason.choices],
        required=False,
    )
