"""What the bench says of rows and of the family's things, in the reader's words."""

import re

from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from diagnostics import bridge, courses
from diagnostics.bridge import observed
from diagnostics.engine.bands import Band
from diagnostics.engine.boards import Board
from diagnostics.engine.family import Check, Part, PartMode, Point
from diagnostics.engine.rungs import Rung
from diagnostics.engine.yardsticks import Yardstick
from diagnostics.figures import show
from diagnostics.models import (
    Finding,
    Intervention,
    Meter,
    ProofItem,
    Reading,
    ReadingOutcome,
)
from diagnostics.proof import Level
from diagnostics.words import cautions
from diagnostics.words.gates import RUNGS as NOTES
from diagnostics.words.values import category_name, source, span
from shop.records.models import Event
from shop.shown import date_format

MODES = {
    "V": gettext_lazy("Volts DC"),
    "R": gettext_lazy("Ohms"),
    "D": gettext_lazy("Diode mode"),
    "C": gettext_lazy("Continuity, read in ohms"),
    "I": gettext_lazy("Current, at the supply"),
    "F": gettext_lazy("Frequency or scope"),
    "T": gettext_lazy("Thermal view, rise in kelvins"),
    "E": gettext_lazy("No meter: look"),
    "W": gettext_lazy("Digital reading"),
}
NUMBER = re.compile(r"(?<= )\d+(?=,|$)")
METER_MODES = {
    "V": gettext_lazy("volts DC"),
    "R": gettext_lazy("ohms"),
    "R4": gettext_lazy("ohms, 4-wire"),
    "C": gettext_lazy("continuity"),
    "D": gettext_lazy("diode mode"),
    "I": gettext_lazy("amperes"),
    "F": gettext_lazy("frequency"),
    "T": gettext_lazy("temperature"),
}
CONDITIONS = {
    "": gettext_lazy("as it is"),
    "U": gettext_lazy("no power: adapter or supply, pack and coin cell out"),
    "A": gettext_lazy("adapter or supply in, off"),
    "B": gettext_lazy("within 5 s of the button"),
    "R": gettext_lazy("running"),
    "S": gettext_lazy("asleep"),
    "J": gettext_lazy("no power but the injection supply"),
}
RED_ON = gettext_lazy("Red on")
BLACK_ON = gettext_lazy("Black on")
WHERE = gettext_lazy("Where")
METER = gettext_lazy("Meter")
BOARD = gettext_lazy("Board")
CAUTION = gettext_lazy("Caution")
GROUND = gettext_lazy("ground: a screw ring or a shield")
ANSWERS: dict[str, object] = {
    ReadingOutcome.OVER_LIMIT: gettext_lazy("OL, over limit"),
    ReadingOutcome.CLIMBING: gettext_lazy("still climbing"),
    ReadingOutcome.CANT_REACH: gettext_lazy("can’t reach"),
    ReadingOutcome.NOT_FITTED: gettext_lazy("not fitted"),
}
RUNGS = {
    "up": gettext_lazy("up"),
    "down": gettext_lazy("down"),
    "odd": gettext_lazy("odd"),
    "unread": gettext_lazy("unread"),
    "resting": gettext_lazy("resting"),
    "not_fitted": gettext_lazy("not fitted"),
}
PROOF_ITEMS = {
    "cold_start": gettext_lazy("Cold start from no power"),
    "load_run": gettext_lazy("Run under load"),
    "sleep_wake": gettext_lazy("Sleep and wake"),
    "charge": gettext_lazy("Charge current and rising charge"),
    "battery_run": gettext_lazy("Run on the battery alone"),
    "memory_test": gettext_lazy("Memory test, full pass"),
    "functions": gettext_lazy("Ports, keyboard, sound, camera, network, picture"),
    "soak": gettext_lazy("Cold start the next day"),
}
LEVELS = {
    Level.FULL: gettext_lazy("Proved in full."),
    Level.SHORT: gettext_lazy("Proved by the short list."),
    Level.OPEN: gettext_lazy("The proof is not complete."),
}


# --- names ------------------------------------------------------------------


def family_text(text: str) -> str:
    """A text of a family file: its message id, translated where we can.

    A label that is repeated has its number in it: its message id has ``{n}`` there.
    A shop's own words come out as they are.
    """
    if not text:
        return ""
    said = _(text)
    for number in NUMBER.finditer(text) if said == text else ():
        numbered = f"{text[: number.start()]}{{n}}{text[number.end() :]}"
        if (pattern := _(numbered)) != numbered:
            return pattern.replace("{n}", number.group())
    return said


def part_mode(part: Part, mode: PartMode) -> str:
    return f"{family_text(part.name)}: {family_text(mode.name)}"


def suspect_title(board: Board, part_id: str, mode_id: str) -> str:
    part = board.parts.get(part_id)
    mode = next((m for m in part.modes if m.id == mode_id), None) if part else None
    if part is None:
        return part_id
    return part_mode(part, mode) if mode else family_text(part.name)


def code_name(event: Event, what: str, code: str) -> str | None:
    """The name of a part or of a way to fail that an event tells by its code."""
    if what not in {"part", "part_id", "mode"} or not code:
        return None
    part_id = str(event.codes.get("part") or event.codes.get("part_id") or "")
    for family in bridge.families():
        part = family.parts.get(part_id)
        if part is None:
            continue
        if what != "mode":
            return family_text(part.name)
        named = [family_text(mode.name) for mode in part.modes if mode.id == code]
        if named:
            return named[0]
    return None


def stage_name(board: Board, stage_id: str) -> str:
    names = {stage.id: stage.name for stage in board.family.stages}
    return family_text(names.get(stage_id, ""))


def net_name(board: Board, net: str | None) -> str:
    for members in (board.rails, board.signals):
        member = members.get(net or "")
        if member is not None:
            return family_text(member.name)
    return ""


def point_title(board: Board, point: Point) -> str:
    """What is read: the rail or signal's name, else the point's own label."""
    net = net_name(board, point.rail) or net_name(board, point.signal)
    if point.pair is None and point.rail and net:
        return net
    return family_text(point.label) or net or point.id


def row_title(board: Board, check: Check, point: Point) -> str:
    """A point on paper: a rail's ohms are told from its volts."""
    title = point_title(board, point)
    is_cold = check.mode == "R" and point.rail is not None
    return _("%(rail)s, resistance") % {"rail": title} if is_cold else title


def stands_for(board: Board, point: Point) -> str:
    """The label of a point among those of its check."""
    return family_text(point.label) or point_title(board, point)


def rung(rung: Rung) -> str:
    """A rung's word, with why it is so where that is worth a word."""
    return _(NOTES[rung.note]) if rung.note else str(RUNGS[rung.word])


# --- values -----------------------------------------------------------------


def reading_value(reading: Reading) -> str:
    """A reading as papers and lists show it: ohms less the leads."""
    if reading.outcome == ReadingOutcome.CATEGORY:
        numbers = courses.said(reading.pattern or {}, reading.unit)
        return ", ".join([category_name(reading.category), *numbers])
    if reading.value is None:
        return str(ANSWERS.get(reading.outcome, ""))
    net = observed(reading).net
    text = show(net, reading.unit, reading.digit)
    course = (reading.pattern or {}).get("kind", "steady")
    return text if course == "steady" else f"{text}, {category_name(course)}"


def meter_name(meter: Meter | None) -> str:
    return meter.name if meter else _("the usual handheld")


def calibration_missed(reading: Reading) -> str:
    """That the meter was past its calibration when the reading was taken, or ""."""
    due = reading.meter.calibration_due if reading.meter else None
    if due is None or timezone.localdate(reading.taken_at) <= due:
        return ""
    day = date_format(due, "j F Y")
    return _("calibration was due %(day)s") % {"day": day}


def arrival(reading: Reading) -> list[str]:
    """What is to be known of a reading that waited on a tablet or on paper."""
    said = {
        _("written on paper, typed in later"): reading.is_from_paper,
        _("came after the ticket was closed"): reading.is_late,
        _("the name was not confirmed by its PIN"): not reading.is_confirmed,
    }
    return [words for words, is_so in said.items() if is_so]


def should_read(yardstick: Yardstick | None) -> str:
    """What is good here, in one phrase: this model's range, else the limits."""
    if yardstick is None:
        return ""
    if yardstick.is_of_this_model or (yardstick.unit == "ohm" and yardstick.has_usual):
        return span(yardstick.usual_low, yardstick.usual_high, yardstick.unit)
    if yardstick.has_limit:
        return span(yardstick.limit_low, yardstick.limit_high, yardstick.unit)
    return span(yardstick.usual_low, yardstick.usual_high, yardstick.unit)


def tolerance(band: Band) -> str:
    """The tolerance interval in words, with its coverage and confidence."""
    if band.tolerance is None:
        return ""
    one = band.tolerance
    return _(
        "At least %(share)s of this model’s good boards read %(span)s, "
        "said with %(sure)s confidence."
    ) % {
        "share": percent(one.coverage),
        "span": span(one.low, one.high, band.unit),
        "sure": percent(one.confidence or 0.0),
    }


def whose(yardstick: Yardstick | None) -> str:
    """Whose figure it is: how many boards of this model, or the source named."""
    if yardstick is None:
        return _("No yardstick yet: 0 boards")
    if yardstick.is_of_this_model:
        return _("%(count)s boards of this model") % {"count": yardstick.usual_count}
    return source(yardstick.limit_source or yardstick.usual_source).strip(" ()")


def unit(unit: str) -> str:
    """The unit beside the entry: the check's own, so that digits are enough."""
    return {"ohm": "Ω", "1": ""}.get(unit, unit)


def percent(share: float) -> str:
    """A probability as people are told it: never 100 %, never a false 0."""
    if share < 0.01:
        return _("under 1 %")
    return f"{min(99, round(share * 100))}\N{NO-BREAK SPACE}%"


def disk_caution(board: Board) -> str:
    """When one of the three must be ticked: the act, and this family's parts."""
    parts = [family_text(one.name) for one in board.parts.values() if one.locks_disk]
    needed = _("Tick one before flash is rewritten, and before these are changed:")
    named = f"{needed} {', '.join(parts)}."
    return " ".join([*cautions.said(["disk"]), named, str(cautions.LOCAL_RULES)])


# --- rows -------------------------------------------------------------------


def intervention(board: Board, done: Intervention) -> str:
    """ "removed: ceramic capacitor on main, C-a" """
    part = board.parts.get(done.part_id)
    what = [family_text(part.name) if part else "", done.place]
    named = ", ".join(text for text in what if text)
    kind = str(done.get_kind_display())
    return f"{kind}: {named}" if named else kind


def disk_ticked(done: Intervention) -> str:
    """What was ticked of an encrypted disk before this was done."""
    return str(done.get_disk_display()) if done.disk else ""


def finding(board: Board, found: Finding) -> str:
    """The cause in words, where it sits, and whether the repair proved it."""
    if found.cause == Finding.Cause.NOT_FOUND:
        return _("The cause was not found.")
    title = suspect_title(board, found.part_id, found.mode_id)
    where = f"{title}, {found.place}" if found.place else title
    proven = _("proven by the repair") if found.is_proven else _("not proven yet")
    return f"{where} ({proven})"


def proof_amount(item: ProofItem) -> str:
    """How often or how long an item was done, and why where it was waived."""
    parts = []
    if item.count is not None:
        times = ngettext("%(count)d time", "%(count)d times", item.count)
        parts.append(times % {"count": item.count})
    if item.minutes is not None:
        parts.append(_("%(minutes)s min") % {"minutes": item.minutes})
    if item.note is not None:
        parts.append(item.note.text)
    return ", ".join(parts)


def proof_name(item: str) -> str:
    return str(PROOF_ITEMS[item])
