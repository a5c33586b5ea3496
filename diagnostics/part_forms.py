"""The forms of part tests: cleaning only."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from diagnostics import words
from diagnostics.engine.errors import EngineError
from diagnostics.engine.packages import Channel, Outline, Pins, Seat, Setup, own_map
from diagnostics.models import Meter
from shop.people.models import Shop

OUTLINES = (
    (Outline.EIGHT, _("8 terminals, one MOSFET")),
    (Outline.DUAL, _("8 terminals, two MOSFETs")),
    (Outline.THREE, _("3 terminals")),
    (Outline.OWN, _("8 terminals, own pin map")),
)
CHANNELS = (
    (Channel.UNKNOWN, _("Don’t know")),
    (Channel.N, _("N")),
    (Channel.P, _("P")),
)
SEATS = (
    (Seat.ANYWHERE, _("anywhere else")),
    (Seat.LOW_SIDE, _("low side of a CPU or graphics phase")),
    (Seat.HIGH_SIDE, _("high side of a phase")),
    (Seat.LOW_OHMS, _("between two nets of few ohms")),
)
PLACES = (("in_circuit", _("In circuit")), ("lifted", _("Lifted")))
DIES = ((1, _("first: pins 1, 2, 7, 8")), (2, _("second: pins 3, 4, 5, 6")))


def radios(label: Any, choices: Any, initial: Any) -> forms.ChoiceField:
    return forms.ChoiceField(
        label=label, choices=choices, initial=initial, widget=forms.RadioSelect
    )


class ChipStartForm(forms.Form):
    """Which part is looked at, by where it sits."""

    uuid = forms.UUIDField(required=False, widget=forms.HiddenInput)
    label = forms.CharField(
        label=_("Which part"),
        max_length=80,
        help_text=_("Where it sits, such as: left of the second coil."),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **{"auto_id": "chip_%s", **kwargs})

    def asked(self) -> dict[str, Any]:
        return dict(self.cleaned_data)


class MosfetStartForm(forms.Form):
    """The part as it is seen, and how it is reached."""

    uuid = forms.UUIDField(required=False, widget=forms.HiddenInput)
    label = forms.CharField(
        label=_("Which part"),
        max_length=80,
        help_text=_("Where it sits, such as: left of the second coil."),
    )
    outline = radios(_("Package"), OUTLINES, Outline.EIGHT)
    die = forms.TypedChoiceField(
        label=_("Which of the two"),
        choices=DIES,
        coerce=int,
        initial=1,
        required=False,
        widget=forms.RadioSelect,
    )
    gate = forms.CharField(label=_("Gate pins"), max_length=40, required=False)
    source = forms.CharField(label=_("Source pins"), max_length=40, required=False)
    drain = forms.CharField(label=_("Drain pins"), max_length=40, required=False)
    channel = radios(_("Channel"), CHANNELS, Channel.UNKNOWN)
    mount = radios(_("The part is"), PLACES, "in_circuit")
    seat = forms.ChoiceField(
        label=_("Where in circuit"),
        choices=SEATS,
        initial=Seat.ANYWHERE,
        required=False,
        widget=forms.RadioSelect,
    )
    meter = forms.ModelChoiceField(
        Meter.objects.none(),
        required=False,
        label=_("Meter"),
        empty_label=_("the usual handheld"),
        help_text=_("Below 2 V in diode mode it may not turn a gate on."),
    )

    def __init__(self, *args: Any, shop: Shop, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        meter = self.fields["meter"]
        assert isinstance(meter, forms.ModelChoiceField)
        meter.queryset = shop.meters.filter(retired_at=None).order_by("name")

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if not self.errors:
            data["setup"] = self._setup(data)
        return data

    def _setup(self, data: dict[str, Any]) -> Setup | None:
        outline = Outline(data["outline"])
        own = self._own_map(data) if outline is Outline.OWN else None
        if self.errors:
            return None
        return Setup(
            outline,
            Channel(data["channel"]),
            is_lifted=data["mount"] == "lifted",
            seat=Seat(data["seat"] or Seat.ANYWHERE),
            die=int(data["die"] or 1) if outline is Outline.DUAL else 1,
            own=own,
        )

    def _own_map(self, data: dict[str, Any]) -> Pins | None:
        try:
            return own_map(data["gate"], data["source"], data["drain"])
        except EngineError as error:
            self.add_error("gate", words.error_sentence(error))
            return None

    def asked(self) -> dict[str, Any]:
        given = self.cleaned_data
        return {key: given[key] for key in ("uuid", "label", "setup", "meter")}


class StepForm(forms.Form):
    """The answer to one step: typed, or tapped."""

    step = forms.CharField(max_length=40, widget=forms.HiddenInput)
    uuid = forms.UUIDField(required=False, widget=forms.HiddenInput)
    typed = forms.CharField(required=False, max_length=400)
    tap = forms.CharField(required=False, max_length=20)

    def asked(self) -> dict[str, Any]:
        given = self.cleaned_data
        return {
            "step": given["step"],
            "uuid": given["uuid"],
            "typed": given["tap"] or given["typed"],
        }


class BackForm(forms.Form):
    uuid = forms.UUIDField(required=False, widget=forms.HiddenInput)
