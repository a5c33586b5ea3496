"""What a board model changes over its family: in words, and as a form of typed keys."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from diagnostics import bridge, sayings, words
from diagnostics.engine import quantities
from diagnostics.engine.boards import Board as EngineBoard
from diagnostics.engine.boards import Rail
from diagnostics.engine.errors import EngineError
from diagnostics.engine.family_choices import Choice, choices_of
from diagnostics.figures import show
from diagnostics.models import BoardModel, BoardModelRevision
from shop.people.models import Shop

NAMES = {
    "variants.memory": gettext_lazy("Memory"),
    "variants.flash": gettext_lazy("Flash runs at"),
    "variants.main": gettext_lazy("Main rail with no pack in"),
    "variants.input_fets": gettext_lazy("Input MOSFETs"),
    "variants.port": gettext_lazy("USB-C port"),
    "variants.graphics": gettext_lazy("Graphics"),
    "variants.chipset": gettext_lazy("Chipset"),
    "counts.cpu_phases": gettext_lazy("CPU phases"),
    "counts.graphics_phases": gettext_lazy("Graphics phases"),
    "counts.standby_phases": gettext_lazy("Phases of each standby rail"),
}
OPTIONS = {
    "ddr3": "DDR3",
    "ddr3l": "DDR3L",
    "ddr4": "DDR4",
    "ddr5": "DDR5",
    "lpddr4x": "LPDDR4X",
    "lpddr5": "LPDDR5",
    "v33": "3.3\N{NO-BREAK SPACE}V",
    "v18": "1.8\N{NO-BREAK SPACE}V",
    "adapter": gettext_lazy("adapter voltage"),
    "two_cells": gettext_lazy("two cells’ voltage"),
    "three_cells": gettext_lazy("three cells’ voltage"),
    "four_cells": gettext_lazy("four cells’ voltage"),
    "n_channel": gettext_lazy("N-channel"),
    "p_channel": gettext_lazy("P-channel"),
    "standard": gettext_lazy("up to 20 V"),
    "extended": gettext_lazy("above 20 V"),
    "card": gettext_lazy("on a card"),
    "on_board": gettext_lazy("on the board"),
    "none": gettext_lazy("in the CPU alone"),
    "chip": gettext_lazy("a chip of its own"),
    "in_cpu": gettext_lazy("in the CPU"),
}
# Figures of a rail that a board model may set: where they stand, in which unit.
FIGURES = {
    "volts.low": (gettext_lazy("lowest volts"), "V"),
    "volts.high": (gettext_lazy("highest volts"), "V"),
    "volts.nominal": (gettext_lazy("volts by name"), "V"),
    "ohms.ok_from": (gettext_lazy("good from"), "ohm"),
    "ohms.watch_below": (gettext_lazy("watch below"), "ohm"),
    "ohms.short_below": (gettext_lazy("short below"), "ohm"),
}


@cache
def choices(family: str) -> tuple[Choice, ...]:
    return choices_of(bridge.engine_board(family, {}).family)


@dataclass(frozen=True)
class Difference:
    """One change in words, and the row that made it; ``now`` is "" where it ended."""

    what: str
    now: str
    before: str
    row: BoardModelRevision
    is_standing: bool


def differences(model: BoardModel, board: EngineBoard) -> list[Difference]:
    """Every change that was made, the newest first; with one query."""
    rows = list(model.revisions.select_related("by").order_by("id"))
    newest = {row.key: row for row in rows}
    return [
        _difference(board, row, is_newest=newest[row.key] is row)
        for row in reversed(rows)
    ]


def latest(shop: Shop, most: int) -> list[Difference]:
    """The changes that were made last, of whichever board model; with one query."""
    rows = BoardModelRevision.objects.filter(board_model__shop=shop)
    return [
        _difference(
            bridge.engine_board(row.board_model.family, {}), row, is_newest=True
        )
        for row in rows.select_related("board_model", "by").order_by("-id")[:most]
    ]


def _difference(
    board: EngineBoard, row: BoardModelRevision, *, is_newest: bool
) -> Difference:
    return Difference(
        what=key_name(board, row.key),
        now="" if row.new is None else value_name(row.key, row.new),
        before=_before(board, row),
        row=row,
        is_standing=is_newest and row.new is not None,
    )


def _before(board: EngineBoard, row: BoardModelRevision) -> str:
    if row.old is not None:
        return value_name(row.key, row.old)
    defaults = {one.key: one.default for one in choices(board.family.id)}
    default = defaults.get(row.key)
    return value_name(row.key, default) if default else _("the family’s own")


def key_name(board: EngineBoard, key: str) -> str:
    """A key in words; one that we have no words for stands as it is written."""
    if key in NAMES:
        return str(NAMES[key])
    rail, figure = _figure_of(board, key)
    if rail is None:
        return key
    named = {"rail": sayings.family_text(rail.name), "what": FIGURES[figure][0]}
    return _("%(rail)s, %(what)s") % named


def _figure_of(board: EngineBoard, key: str) -> tuple[Rail | None, str]:
    for figure in FIGURES:
        rail_id = key.removeprefix("rails.").removesuffix(f".{figure}")
        if key == f"rails.{rail_id}.{figure}" and rail_id in board.rails:
            return board.rails[rail_id], figure
    return None, ""


def value_name(key: str, value: Any) -> str:
    if isinstance(value, str):
        return str(OPTIONS.get(value, value.replace("_", " ")))
    unit = next((u for f, (_name, u) in FIGURES.items() if key.endswith(f".{f}")), "")
    is_number = isinstance(value, int | float) and not isinstance(value, bool)
    return show(float(value), unit) if unit and is_number else str(value)


# --- adding one ---------------------------------------------------------------------


class DiffersForm(forms.Form):
    """One key and its value; an empty value goes back to the family's own."""

    key = forms.ChoiceField(label=gettext_lazy("What is different"))
    new = forms.CharField(
        label=gettext_lazy("It is"),
        max_length=40,
        required=False,
        help_text=gettext_lazy("Empty: as in the family."),
    )
    why = forms.CharField(
        label=gettext_lazy("How you know"), max_length=200, required=False
    )

    def __init__(self, *args: Any, board: EngineBoard, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.choices = {one.key: one for one in choices(board.family.id)}
        field = self.fields["key"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [("", _("choose one")), *keys_of(board, self.choices.values())]

    def clean(self) -> dict[str, Any]:
        typed: dict[str, Any] = super().clean() or self.cleaned_data
        key, text = typed.get("key", ""), typed.get("new", "").strip()
        if not key:
            return typed
        try:
            typed["new"] = self._value(key, text) if text else None
        except EngineError as error:
            self.add_error("new", words.error_sentence(error))
        except forms.ValidationError as error:
            self.add_error("new", error)
        return typed

    def _value(self, key: str, text: str) -> Any:
        choice = self.choices.get(key)
        if choice is None:
            unit = next(u for f, (_name, u) in FIGURES.items() if key.endswith(f".{f}"))
            return quantities.parse(text, unit).value
        if choice.options:
            return _option(choice, text)
        if not text.isascii() or not text.isdigit():
            raise forms.ValidationError(_("A whole number, please."))
        return int(text)


def _option(choice: Choice, text: str) -> str:
    """The option by its name as shown or as written in the family."""
    named = {value_name(choice.key, one).casefold(): one for one in choice.options}
    given = named | {one: one for one in choice.options}
    found = given.get(text.casefold().replace(" ", "\N{NO-BREAK SPACE}"))
    found = found or given.get(text.casefold())
    if found is None:
        offered = ", ".join(value_name(choice.key, one) for one in choice.options)
        raise forms.ValidationError(
            _("One of these: %(options)s."), params={"options": offered}
        )
    return found


Group = tuple[str, list[tuple[str, str]]]


def keys_of(board: EngineBoard, choices: Iterable[Choice]) -> Iterator[Group]:
    """What a board has first, then the figures of its rails, stage by stage."""
    yield (
        _("What is on the board"),
        [(one.key, _offer(board, one)) for one in choices],
    )
    for stage in board.family.stages:
        offers = [
            (f"rails.{rail.id}.{figure}", key_name(board, f"rails.{rail.id}.{figure}"))
            for rail in board.rails.values()
            if rail.stage == stage.id
            for figure in FIGURES
            if rail.ohms is not None or figure.startswith("volts")
        ]
        if offers:
            yield sayings.family_text(stage.name), offers


def _offer(board: EngineBoard, choice: Choice) -> str:
    """The key with what it may be: "Memory: DDR3, DDR4" or "CPU phases: 1 to 12"."""
    named = key_name(board, choice.key)
    if choice.options:
        may_be = ", ".join(value_name(choice.key, one) for one in choice.options)
    else:
        may_be = _("%(least)d to %(most)d") % {
            "least": choice.least,
            "most": choice.most,
        }
    return _("%(what)s: %(may_be)s") % {"what": named, "may_be": may_be}
