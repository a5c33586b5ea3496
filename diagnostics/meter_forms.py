"""A meter as it is typed from its manual: cleaning only."""

import re
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from diagnostics import sayings, words
from diagnostics.bridge import meter_spec
from diagnostics.engine import quantities
from diagnostics.engine.errors import EngineError
from diagnostics.engine.meter_lines import (
    UNIT_OF_MODE,
    AccuracyLine,
    lines_of,
    ranges_of,
)
from diagnostics.engine.meters import HANDHELD, MeterRange
from diagnostics.forms import QuantityField
from diagnostics.models import Meter

EMPTY_LINES = 3
# Between two ranges; a comma is one only before a space, else it is a decimal mark.
BETWEEN = re.compile(r"\s*(?:;|/|,\s)\s*")


class MeterForm(forms.Form):
    """What stands on the meter as a whole."""

    name = forms.CharField(label=_("Name on the bench"), max_length=80)
    calibration_due = forms.DateField(
        label=_("Calibration due"),
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text=_("Past it the meter still works; verdicts and proof sheet say so."),
    )
    diode_amps = QuantityField(unit="A", label=_("Diode mode feeds"))
    diode_volts = QuantityField(
        unit="V",
        label=_("Diode mode offers"),
        help_text=_("Open probes. Below 2 V it may not turn a MOSFET on."),
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        for name in ("diode_amps", "diode_volts"):
            value = data.get(name)
            if name not in self.errors and (value is None or value <= 0):
                self.add_error(name, gettext("Type a value above nought."))
        return data


class LineForm(forms.Form):
    """One line of the manual: some ranges of one mode, with one accuracy."""

    mode = forms.ChoiceField(
        label=_("Mode"),
        required=False,
        choices=[("", "–"), *((one, sayings.METER_MODES[one]) for one in UNIT_OF_MODE)],
    )
    full_scales = forms.CharField(label=_("Ranges"), max_length=120, required=False)
    percent = forms.FloatField(
        label=_("± % of reading"), min_value=0, max_value=50, required=False
    )
    counts = forms.FloatField(
        label=_("+ counts"), min_value=0, max_value=10_000, required=False
    )
    shown = forms.IntegerField(
        label=_("Counts shown"), min_value=100, max_value=10_000_000, required=False
    )

    def clean_full_scales(self) -> tuple[float, ...]:
        texts = [t for t in BETWEEN.split(self.cleaned_data["full_scales"]) if t]
        unit = UNIT_OF_MODE.get(self.cleaned_data.get("mode", ""))
        if unit is None:
            return ()
        try:
            values = [quantities.parse(text, unit).value for text in texts]
        except EngineError as error:
            raise forms.ValidationError(words.error_sentence(error)) from error
        return tuple(value for value in values if value is not None)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("mode") and not self.errors:
            self._refuse_unsound(data)
        return data

    def _refuse_unsound(self, data: dict[str, Any]) -> None:
        try:
            ranges_of([line_of(data)])
        except EngineError as error:
            slot = "percent" if error.code == "line_without_accuracy" else "full_scales"
            self.add_error(slot, words.error_sentence(error))


def line_of(data: dict[str, Any]) -> AccuracyLine:
    return AccuracyLine(
        mode=data["mode"],
        full_scales=data["full_scales"],
        percent=data["percent"] or 0.0,
        counts=data["counts"] or 0.0,
        shown=data["shown"] or 0,
    )


LineForms = forms.formset_factory(LineForm, extra=0, max_num=40)


def ranges_typed(formset: Any) -> tuple[MeterRange, ...]:
    """The ranges of every line that names a mode."""
    typed = [form.cleaned_data for form in formset if form.cleaned_data.get("mode")]
    return ranges_of(line_of(data) for data in typed)


def start_of(meter: Meter | None) -> dict[str, Any]:
    """What the page starts with: the meter's figures, or a usual handheld's."""
    spec = meter_spec(meter)
    return {
        "name": meter.name if meter else "",
        "calibration_due": meter.calibration_due if meter else None,
        "diode_amps": shown(spec.diode_amps, "A"),
        "diode_volts": shown(spec.diode_volts, "V"),
    }


def lines_start(meter: Meter | None) -> list[dict[str, Any]]:
    spec = meter_spec(meter) if meter else HANDHELD
    lines = [
        {
            "mode": line.mode,
            "full_scales": ", ".join(
                shown(one, UNIT_OF_MODE[line.mode]) for one in line.full_scales
            ),
            "percent": line.percent,
            "counts": line.counts,
            "shown": line.shown,
        }
        for line in lines_of(spec.ranges)
    ]
    return lines + [{}] * EMPTY_LINES


def shown(value: float, unit: str) -> str:
    return quantities.show(value, unit).replace("\N{NO-BREAK SPACE}", " ")
