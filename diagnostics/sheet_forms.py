"""A bench sheet's head and lines, as they are typed in later: cleaning only."""

import uuid
from datetime import datetime
from typing import TYPE_CHECKING, Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from diagnostics import bridge
from diagnostics.engine import quantities
from diagnostics.engine.boards import Board
from diagnostics.engine.errors import EngineError
from diagnostics.engine.family import Point
from diagnostics.forms import QuantityField
from diagnostics.models import Meter, Polarity
from diagnostics.place import Place
from diagnostics.services.sheets import Line
from shop.people import queries as people
from shop.people.models import Person

LINES, MOST_LINES = 11, 40  # half a sheet


class SheetForm(forms.Form):
    """The head of a sheet: who read, on which day, with what."""

    read_by = forms.TypedChoiceField(label=_("Read by"), coerce=int)
    day = forms.DateField(
        label=_("Day"),
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    meter = forms.ModelChoiceField(
        Meter.objects.none(),
        required=False,
        label=_("Meter"),
        empty_label=_("the usual handheld"),
    )
    lead_ohms = QuantityField(unit="ohm", label=_("Leads, in ohms"))

    def __init__(self, *args: Any, place: Place, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        shop = place.board.shop
        who, meter = self.fields["read_by"], self.fields["meter"]
        assert isinstance(who, forms.ChoiceField)
        assert isinstance(meter, forms.ModelChoiceField)
        who.choices = [(one.pk, one.name) for one, _roles in people.people_of(shop)]
        meter.queryset = shop.meters.filter(retired_at=None).order_by("name")

    @property
    def reader(self) -> Person:
        return Person.objects.get(pk=self.cleaned_data["read_by"])


class LineForm(forms.Form):
    """One line: when, where, what; empty, or with these three."""

    uuid = forms.UUIDField(required=False, widget=forms.HiddenInput)
    time = forms.TimeField(
        label=_("Time"),
        required=False,
        widget=forms.TimeInput(attrs={"type": "time"}, format="%H:%M"),
    )
    where = forms.CharField(
        label=_("Check and rail"),
        required=False,
        max_length=60,
        widget=forms.TextInput(attrs={"list": "points", "autocomplete": "off"}),
    )
    value = forms.CharField(label=_("Value"), required=False, max_length=40)
    unit = forms.CharField(
        label=_("Unit"),
        required=False,
        max_length=10,
        widget=forms.TextInput(attrs={"list": "units", "autocomplete": "off"}),
    )
    polarity = forms.ChoiceField(
        label=_("Red probe"),
        required=False,
        choices=[("", _("as the check says")), *Polarity.choices],
    )
    note = forms.CharField(label=_("Seen, done"), required=False, max_length=500)

    @property
    def is_empty(self) -> bool:
        names = ("time", "where", "value", "note")
        return not any(self.cleaned_data.get(name) for name in names)

    def clean(self) -> dict[str, Any]:
        typed = super().clean() or {}
        if not self.is_empty:
            for name in ("time", "where", "value"):
                if not typed.get(name) and name not in self.errors:
                    self.add_error(name, gettext("This field is required."))
        return typed

    def line(self, head: SheetForm, place: Place, board: Board) -> Line | None:
        """The line as a reading's facts; ``None`` where something is wrong with it."""
        typed = self.cleaned_data
        said = f"{typed['value']} {typed['unit']}".strip()
        point_id = self._point_id(board, said)
        moment = datetime.combine(head.cleaned_data["day"], typed["time"])
        at = timezone.make_aware(moment, place.board.shop.zone)
        if at > timezone.now():
            self.add_error("time", gettext("This time lies ahead."))
        if place.ticket is not None and at < place.ticket.opened_at:
            self.add_error("time", gettext("The machine was not here yet."))
        if self.errors:
            return None
        return Line(
            typed["uuid"] or uuid.uuid4(),
            at,
            point_id,
            said,
            typed["polarity"],
            typed["note"],
        )

    def _point_id(self, board: Board, said: str) -> str:
        found = meant(board, self.cleaned_data["where"], said)
        if not found:
            self.add_error("where", gettext("No such check is on this board."))
        elif len(found) > 1:
            which = ", ".join(found[:6])
            self.add_error("where", gettext("Which one: %s?") % which)
        return found[0] if found else ""


def readable(board: Board) -> list[Point]:
    """The points at which this board gives a value."""
    points = [board.points[pk] for pk in board.points if board.is_fitted(pk)]
    return [one for one in points if one.unit and not _is_answered(board, one)]


def _is_answered(board: Board, point: Point) -> bool:
    return bool(board.check(bridge.check_id_of(point.id)).categories)


def meant(board: Board, where: str, said: str) -> list[str]:
    """Points that were meant by an id, a check with its rail, or a rail alone.

    A rail is read at several checks; the unit that was written tells some apart.
    """
    words = set(where.lower().replace("/", " ").split())
    ids = [one.id for one in readable(board)]
    whole = [pk for pk in ids if pk.lower() == where.strip().lower()]
    part = [pk for pk in ids if words and words <= set(pk.lower().split("/"))]
    if whole or len(part) < 2:
        return whole or part
    return [pk for pk in part if _fits(board.points[pk], said)] or part


def _fits(point: Point, said: str) -> bool:
    try:
        quantities.parse(said, point.unit)
    except EngineError:
        return False
    return True


if TYPE_CHECKING:
    Rows = forms.BaseFormSet[LineForm]
else:
    Rows = forms.BaseFormSet

LineFormSet = forms.formset_factory(
    LineForm, formset=Rows, extra=0, max_num=MOST_LINES, absolute_max=MOST_LINES
)


def blank(count: int = LINES) -> list[dict[str, Any]]:
    return [{"uuid": uuid.uuid4()} for _line in range(count)]
