"""The kinds of intake: each leaves fields of the whole page out, or adds its own."""

from typing import TYPE_CHECKING, Any, cast

from django import forms
from django.utils.translation import gettext_lazy as _

from shop.intake import numbers
from shop.intake.fields import choice, long_text, text, ticks
from shop.intake.forms import CAME_WITH_IT, FIRST_LOOK, OF_DEVICE, IntakeForm
from shop.intake.models import DeviceKind, IntakeKind, Purpose, ThingKind
from shop.intake.services import Machine, ThingDraft

OF_CUSTOMER = (
    *("customer", "version", "name", "phone"),
    *("email", "address", "channel", "language"),
)
SEEN = ("triage", "marks", "condition")
TOLD = ("faults", "told")
SIGNED = ("signed", "signature", "draft")
WITH_IT = ("things", "other_thing")
IF_NO = ("reassembly", "reassembly_price")
WISHED = (
    *("goal", "pre_approved", "promise", "ready_by", "their_reference", *IF_NO),
    "is_express",
)
MAY_WE = tuple(Purpose.values)
ROWS, MOST_ROWS = 5, 40


class QuickForm(IntakeForm):
    """Name, phone, device, fault: the rest is not recorded until it is asked."""

    intake_kind = IntakeKind.QUICK

    leaves_out = (
        *("email", "address", "channel", "serial", "board_number_seen"),
        "year_made",
        *FIRST_LOOK,
        *SEEN,
        *WITH_IT,
        *WISHED,
        *MAY_WE,
        "without_passcode",
    )


class BoardOnlyForm(IntakeForm):
    """A board from another repairer, with what they did and read."""

    intake_kind = IntakeKind.BOARD_ONLY
    brought = ("their_work", "their_readings")

    kind = choice(_("Kind"), DeviceKind.choices, initial=DeviceKind.BARE_BOARD)
    their_work = long_text(_("What they did"))
    their_readings = long_text(_("Their readings, as told"))


class ParcelForm(IntakeForm):
    """A parcel: how it looks inside is asked when it is unpacked."""

    intake_kind = IntakeKind.PARCEL
    brought = ("declared",)
    leaves_out = (*FIRST_LOOK, *SEEN, *WITH_IT)

    tracking = text(_("Tracking number"), 60, is_needed=True)
    declared = long_text(_("Declared by the sender"), rows=2)


class WarrantyCheckForm(IntakeForm):
    """Back after a repair; ``returns_to`` becomes the number, without its blanks."""

    intake_kind = IntakeKind.WARRANTY

    leaves_out = ("pre_approved", "fee_agreed", "is_express", *IF_NO)

    returns_to = text(_("Earlier ticket"), 20, is_needed=True)

    def clean_returns_to(self) -> str:
        number = numbers.compact(self.cleaned_data["returns_to"])
        if not numbers.is_valid(number):
            raise forms.ValidationError(_("This is no ticket number."))
        return number


class SeveralForm(IntakeForm):
    """Several machines of one customer; each has a row of its own."""

    intake_kind = IntakeKind.SEVERAL

    leaves_out = (
        *(*OF_DEVICE, *TOLD, *FIRST_LOOK, *SEEN, *WITH_IT),
        "pre_approved",
    )


class MachineForm(forms.Form):
    """One row: a machine, its serial number, its fault as told."""

    model = text(_("Model"), 120)
    serial = text(_("Serial number"), 80)
    told = text(_("Fault as told"), 500)
    things = ticks(
        _("Came with it"), [(kind, ThingKind(kind).label) for kind in CAME_WITH_IT]
    )

    def clean(self) -> dict[str, Any]:
        """A row is empty, or says what it is and what is wrong with it."""
        typed = self.cleaned_data
        if any(typed.get(name) for name in self.fields):
            for name in ("model", "told"):
                if not typed.get(name) and name not in self.errors:
                    self.add_error(name, _("This field is required."))
        return typed


if TYPE_CHECKING:
    Rows = forms.BaseFormSet[MachineForm]
else:
    Rows = forms.BaseFormSet


class MachineRows(Rows):
    def clean(self) -> None:
        if not self.machines():
            raise forms.ValidationError(_("Name at least one machine."))

    def machines(self) -> list[Machine]:
        typed = [row.cleaned_data for row in self.forms if hasattr(row, "cleaned_data")]
        return [
            Machine(
                what={
                    "kind": DeviceKind.LAPTOP,
                    "model": row["model"],
                    "serial": row.get("serial", ""),
                    "board_number_seen": "",
                },
                told=row["told"],
                things=[ThingDraft(kind) for kind in row.get("things", ())],
            )
            for row in typed
            if row.get("model") and row.get("told")
        ]


MachineFormSet = cast(
    type[MachineRows],
    forms.formset_factory(
        MachineForm,
        formset=MachineRows,
        extra=ROWS,
        max_num=MOST_ROWS,
        absolute_max=MOST_ROWS,
    ),
)

FORMS: dict[str, type[IntakeForm]] = {
    form.intake_kind: form
    for form in (
        IntakeForm,
        QuickForm,
        BoardOnlyForm,
        ParcelForm,
        SeveralForm,
        WarrantyCheckForm,
    )
}


class FinishForm(IntakeForm):
    """The rest of a quick intake."""

    leaves_out = (
        *OF_CUSTOMER,
        *("kind", "model", "board_number_seen", *TOLD),
        *("promise", "ready_by", "their_reference", "is_express", *SIGNED, *IF_NO),
    )

    def finishing(self) -> dict[str, Any]:
        typed = self.cleaned_data
        return {
            "answers": self.answers(),
            "things": self.things_typed(),
            "consents": self.consents(),
            "goal": typed["goal"],
            "pre_approved": typed["pre_approved"],
            "fee_agreed": typed["fee_agreed"],
            "triage": typed["triage"],
            "condition": typed["condition"],
            "serial": typed["serial"],
            "year_made": typed["year_made"],
        }


class UnpackForm(IntakeForm):
    """What lay in the parcel, and how it looks."""

    leaves_out = (
        *(*OF_CUSTOMER, *OF_DEVICE, *TOLD, *WISHED, *MAY_WE),
        *("marks", "condition", "fee_agreed", "without_passcode", *SIGNED),
    )

    seen = long_text(_("What arrived, and how it looks"), is_needed=True)

    def unpacking(self) -> dict[str, Any]:
        return {
            "answers": self.answers(),
            "things": self.things_typed(),
            "triage": self.cleaned_data["triage"],
            "seen": self.cleaned_data["seen"],
        }
