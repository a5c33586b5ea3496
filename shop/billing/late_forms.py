"""What is typed about a part that is late."""

from datetime import timedelta
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from shop.billing.forms import day_field
from shop.intake.fields import choice
from shop.intake.models import Channel, Ticket

# What a supplier who is late needs as a rule (jd): only offered.
A_WEEK = timedelta(days=7)
NOT_TOLD = "not_told"


class PutOffForm(forms.Form):
    due_on = day_field(_("Expected on"))
    channel = choice(
        _("The customer was told by"), [*Channel.choices, (NOT_TOLD, _("not told yet"))]
    )

    @staticmethod
    def offered(ticket: Ticket) -> dict[str, Any]:
        due = timezone.localdate(timezone=ticket.shop.zone) + A_WEEK
        return {"due_on": due, "channel": ticket.customer.channel}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["due_on"].required = True

    def clean_channel(self) -> str:
        channel: str = self.cleaned_data["channel"]
        return "" if channel == NOT_TOLD else channel


class CancelForm(forms.Form):
    """A button alone: nothing is typed."""
