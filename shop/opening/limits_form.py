"""After how many days the office's lists name what waits."""

from datetime import date, datetime, time, tzinfo

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.billing.forms import day_field
from shop.opening.forms import whole
from shop.people.office_limits import DAYS, MOST_DAYS


class LimitsForm(forms.Form):
    untouched_days = whole(
        _("Untouched for more than, in days"),
        MOST_DAYS,
        least=1,
        help_text=_("Taken in, and nobody has begun."),
    )
    unanswered_days = whole(
        _("Unanswered for more than, in days"),
        MOST_DAYS,
        least=1,
        help_text=_("We asked, and the customer has not answered."),
    )
    owed_days = whole(
        _("Owed for more than, in days"),
        MOST_DAYS,
        least=1,
        help_text=_("Billed, and not paid."),
    )
    valid_from = day_field(
        _("Valid from"), help_text=_("From the morning of that day. Empty: from now.")
    )

    def days(self) -> dict[str, int]:
        return {name: self.cleaned_data[name] for name in DAYS}

    def begins_at(self, zone: tzinfo) -> datetime | None:
        """The first moment of the day that was typed; None is now."""
        day: date | None = self.cleaned_data["valid_from"]
        return None if day is None else datetime.combine(day, time(), zone)
