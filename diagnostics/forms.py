"""What is typed at the bench: cleaning only."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from diagnostics import board_choices, bridge, courses, sayings, words
from diagnostics.bridge import Known
from diagnostics.engine import quantities
from diagnostics.engine.errors import EngineError
from diagnostics.models import (
    DiskWord,
    Finding,
    GateOverride,
    InterventionKind,
    Meter,
    Origin,
    Polarity,
    ReadingSource,
)
from diagnostics.words.values import FITTED_NAMES
from shop.people.models import Shop


class QuantityField(forms.CharField):
    """A value typed as people type it, in one unit: ``500 mA``, ``0,5``."""

    def __init__(self, *, unit: str, **kwargs: Any) -> None:
        self.unit = unit
        super().__init__(required=False, **kwargs)

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if not text:
            return None
        try:
            return quantities.parse(text, self.unit).value
        except EngineError as error:
            raise forms.ValidationError(words.error_sentence(error)) from error


class BoardForm(forms.Form):
    """A board by its number; a number that is new here also needs a family."""

    number = forms.CharField(label=_("Board number"), max_length=80)
    serial = forms.CharField(label=_("Serial number"), max_length=80, required=False)
    marking = forms.CharField(label=_("Other marking"), max_length=120, required=False)
    family = forms.ChoiceField(
        label=_("Family"), required=False, widget=forms.RadioSelect
    )
    no_graphics = forms.BooleanField(required=False, label=_("No graphics chip"))
    graphics_on_board = forms.BooleanField(
        required=False, label=_("Graphics chip on the board")
    )
    chipset_in_cpu = forms.BooleanField(required=False, label=_("Chipset in the CPU"))
    memory = forms.ChoiceField(
        label=_("Memory"),
        required=False,
        choices=board_choices.MEMORY,
        widget=forms.RadioSelect,
    )
    name = forms.CharField(label=_("Machine"), max_length=120, required=False)

    def __init__(self, *args: Any, offered: Sequence[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        family = self.fields["family"]
        assert isinstance(family, forms.ChoiceField)
        known = [(one, sayings.family_text(bridge.family_name(one))) for one in offered]
        family.choices = known
        family.error_messages["invalid_choice"] = gettext(
            "No family “%(value)s” is known here."
        )


class ReferenceForm(BoardForm):
    """A donor or known-good board of the shop's own."""

    origin = forms.ChoiceField(
        label=_("What it is"),
        choices=[
            (one.value, one.label) for one in Origin if one is not Origin.CUSTOMER
        ],
        initial=Origin.KNOWN_GOOD,
        widget=forms.RadioSelect,
    )


# What in the board changes its ohms 2 to 100 times (domain brief, section 13).
FITTED = [(code, _(name)) for code, name in FITTED_NAMES.items()]


TICK = "tick:"


class ReadingForm(forms.Form):
    """One entry at a point: typed, or tapped; and how it was taken."""

    point_id = forms.CharField(max_length=60, widget=forms.HiddenInput)
    uuid = forms.UUIDField(required=False, widget=forms.HiddenInput)
    offered = forms.CharField(required=False, max_length=60, widget=forms.HiddenInput)
    typed = forms.CharField(required=False, label=_("Reading"))
    category = forms.CharField(required=False, max_length=40)
    outcome = forms.CharField(required=False, max_length=20)
    condition = forms.CharField(required=False, max_length=2)
    course = forms.CharField(required=False, max_length=20)
    polarity = forms.ChoiceField(
        required=False, label=_("Probes"), choices=[("", ""), *Polarity.choices]
    )
    is_four_wire = forms.BooleanField(required=False, label=_("4-wire"))
    is_told = forms.BooleanField(required=False, label=_("Another repairer’s"))
    meter = forms.ModelChoiceField(
        Meter.objects.none(),
        required=False,
        label=_("Meter"),
        empty_label=_("the usual handheld"),
        error_messages={
            "invalid_choice": _("This meter was changed: choose it again.")
        },
    )
    fitted = forms.MultipleChoiceField(
        required=False,
        label=_("In the board now"),
        choices=FITTED,
        widget=forms.CheckboxSelectMultiple,
    )
    supply_volts = QuantityField(unit="V", label=_("Supply set to"))
    supply_limit_amps = QuantityField(unit="A", label=_("Limit set to"))
    supply_actual_volts = QuantityField(unit="V", label=_("Supply shows"))
    note = forms.CharField(required=False, max_length=500, label=_("Note"))

    def __init__(self, *args: Any, shop: Shop, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in courses.NAMES:
            self.fields[name] = forms.CharField(required=False)
        meter = self.fields["meter"]
        assert isinstance(meter, forms.ModelChoiceField)
        meter.queryset = shop.meters.filter(retired_at=None).order_by("name")

    def asked(self) -> dict[str, Any]:
        """The arguments of ``reading_take`` that were given."""
        given = {
            key: value
            for key, value in self.cleaned_data.items()
            if value is not False and value not in (None, "", [])
        }
        given["fitted"] = self.cleaned_data["fitted"]
        numbers = {name: given.pop(name, "") for name in courses.NAMES}
        if course := given.pop("course", ""):
            asked = {name: text for name, text in numbers.items() if text}
            given["pattern"] = {"kind": course, **asked}
        if given.pop("is_told", False):
            given["source"] = ReadingSource.TOLD
        taps = {"ol": "OL"}
        outcome = given.pop("outcome", "")
        if outcome in taps:
            given["typed"] = taps[outcome]
        elif outcome:
            given["outcome"] = outcome
        return given

    def ticked(self) -> dict[str, str]:
        """By point what was ticked of it, where a check is ticked in one act."""
        return {
            name.removeprefix(TICK): self.data[name]
            for name in self.data
            if name.startswith(TICK)
        }


class StrikeForm(forms.Form):
    why = forms.CharField(required=False, max_length=500, label=_("Why"))


class OverruleForm(forms.Form):
    """A gate passed over: which, why, and the current limit that is set."""

    check_id = forms.CharField(max_length=20, widget=forms.HiddenInput)
    gate_id = forms.CharField(max_length=20, widget=forms.HiddenInput)
    chip = forms.ChoiceField(
        label=_("Reason"), choices=GateOverride.Chip.choices, widget=forms.RadioSelect
    )
    limit_amps = QuantityField(unit="A", label=_("Current limit"))
    words = forms.CharField(required=False, max_length=500, label=_("In words"))


class NotFittedForm(forms.Form):
    """A point, rail or stage that this board doesn't have."""

    point_id = forms.CharField(max_length=60, widget=forms.HiddenInput)
    is_fitted = forms.BooleanField(required=False)


BY_HAND = [c for c in InterventionKind.choices if c[0] != InterventionKind.AWAY]


class InterventionForm(forms.Form):
    """What was done to the board."""

    kind = forms.ChoiceField(label=_("Done"), choices=BY_HAND)
    part_id = forms.ChoiceField(label=_("Part"), required=False)
    place = forms.CharField(label=_("Where"), max_length=80, required=False)
    disk = forms.ChoiceField(
        label=_("Encrypted disk"),
        choices=DiskWord.choices,
        widget=forms.RadioSelect,
        required=False,
    )

    def __init__(self, *args: Any, known: Known, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "done_%s", **kwargs})
        part = self.fields["part_id"]
        assert isinstance(part, forms.ChoiceField)
        parts = known.board.parts.values()
        names = [(one.id, sayings.family_text(one.name)) for one in parts]
        part.choices = [("", _("no single part")), *names]
        self.fields["disk"].help_text = sayings.disk_caution(known.board)


class SuspectField(forms.ChoiceField):
    """A part and the way it failed, as one choice: ``p.cmain:short``."""

    def offer(self, known: Known) -> None:
        self.choices = [("", _("choose one"))] + [
            (
                f"{part.id}:{mode.id}",
                sayings.part_mode(part, mode),
            )
            for part in known.board.parts.values()
            for mode in part.modes
        ]


class FindingForm(forms.Form):
    """The cause, as confirmed; or openly not found."""

    cause = forms.ChoiceField(label=_("Cause"), choices=Finding.Cause.choices)
    suspect = SuspectField(label=_("Part and failure"), required=False)
    place = forms.CharField(label=_("Where"), max_length=80, required=False)
    is_proven = forms.BooleanField(label=_("Proven by the repair"), required=False)

    def __init__(self, *args: Any, known: Known, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "found_%s", **kwargs})
        suspect = self.fields["suspect"]
        assert isinstance(suspect, SuspectField)
        suspect.offer(known)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        part, _colon, mode = data.pop("suspect", "").partition(":")
        if data.get("cause") == Finding.Cause.PART and not part:
            self.add_error("suspect", gettext("Name the part and how it failed."))
        if data.get("cause") == Finding.Cause.NOT_FOUND:
            part = mode = ""
        return {**data, "part_id": part, "mode_id": mode}
