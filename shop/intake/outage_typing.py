"""A blank slip that was filled in by pen is typed in: when and by whom it was."""

from typing import Any

from django import forms
from django.shortcuts import get_object_or_404
from django.utils.translation import gettext as _

from shop.intake import drafts, numbers, outage
from shop.intake.fields import moment
from shop.intake.forms import IntakeForm
from shop.intake.outage_models import PaperSlip
from shop.intake.services import OnPaper
from shop.people import queries as people
from shop.people.access import AtWork
from shop.people.models import Person

FIELDS = ("taken_at", "taken_by")
# What the counter promised stands on the paper, if anywhere.
OFFERED = ("promise", "ready_by")


def slip_asked(request: AtWork, draft: drafts.Fields) -> PaperSlip | None:
    """The slip that the address, the form or the draft names; 404 for another's."""
    asked = request.POST or request.GET
    number = numbers.compact(asked.get("paper", drafts.first(draft, "paper")))
    if not number:
        return None
    return get_object_or_404(outage.slips_of(request.shop), number=number)


def fields_add(
    form: IntakeForm, slip: PaperSlip, by: Person, draft: drafts.Fields
) -> None:
    """The form asks when it was taken in and by whom; it offers no promise."""
    at_work = [(who.pk, who.name) for who, _roles in people.people_of(slip.pack.shop)]
    form.fields["taken_at"] = moment(_("Taken in"), is_needed=True)
    form.fields["taken_at"].help_text = _("Day and time as written on the slip.")
    form.fields["taken_by"] = forms.TypedChoiceField(
        label=_("Taken in by"), choices=at_work, coerce=int
    )
    for name in OFFERED:
        if name in form.fields:
            form.fields[name].help_text = ""
    kept: dict[str, Any] = drafts.initial_of(draft, form.fields)
    offered = {n: v for n, v in form.initial.items() if n not in OFFERED or n in kept}
    typed = {name: kept[name] for name in FIELDS if name in kept}
    form.initial = {**offered, "taken_by": by.pk, **typed}


def paper_of(form: IntakeForm, slip: PaperSlip) -> OnPaper:
    """What the slip says by pen, as it was typed."""
    typed = form.cleaned_data
    return OnPaper(
        slip=slip,
        taken_at=typed["taken_at"],
        taken_by=Person.objects.get(pk=typed["taken_by"]),
    )
