"""The power ladder of a board: its rungs now, as it came, and both side by side."""

from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from diagnostics import passing, sayings
from diagnostics.bridge import Judged, Known
from diagnostics.engine import rungs as engine
from diagnostics.engine.family import Rail, Stage
from diagnostics.engine.rungs import Rung
from diagnostics.place import Place
from shop.intake.models import Ticket

Newest = Mapping[str, Judged]
WORST_FIRST = ("down", "odd", "unread", "up", "resting", "not_fitted")


@dataclass(frozen=True)
class Half:
    """What was last read of one half of a rail: its word, and the newest reading."""

    word: str | None
    newest: Judged


@dataclass(frozen=True)
class Shown:
    """A rung with the readings behind it."""

    rung: Rung
    cold: Half | None
    live: Half | None

    @property
    def word_text(self) -> str:
        return sayings.rung(self.rung)

    @property
    def newest(self) -> Judged | None:
        half = self.live or self.cold
        return half.newest if half else None

    @property
    def value(self) -> str:
        return sayings.reading_value(self.newest.reading) if self.newest else ""


def as_it_came(known: Known, ticket: Ticket) -> Newest:
    """The readings of a ticket before anything was done to the board."""
    ours = [
        one for one in passing.our_judged(known) if one.reading.ticket_id == ticket.pk
    ]
    first = min((one.reading.epoch for one in ours), default=0)
    return {o.reading.point_id: o for o in ours if o.reading.epoch == first}


def now(known: Known) -> Newest:
    """The newest readings that still speak of the board as it is."""
    return {
        point_id: one
        for point_id, one in passing.our_newest(known).items()
        if not passing.is_stale(known, one)
    }


def rungs(known: Known, newest: Newest) -> dict[str, Shown]:
    """The rung of every rail, from the newest readings at its points."""
    halves = _halves(known, newest)
    condition = _condition(known)
    return {
        rail_id: _shown(known, rail_id, halves.get(rail_id, {}), condition)
        for rail_id in known.board.rails
    }


def _shown(
    known: Known, rail_id: str, halves: Mapping[str, Half], condition: str
) -> Shown:
    cold, live = halves.get(engine.COLD), halves.get(engine.LIVE)
    rung = engine.rung(
        known.board,
        rail_id,
        cold=cold.word if cold else None,
        live=live.word if live else None,
        live_volts=live.newest.reading.value if live else None,
        in_condition=live.newest.reading.condition if live else condition,
    )
    return Shown(rung, cold, live)


def _halves(known: Known, newest: Newest) -> dict[str, dict[str, Half]]:
    """Rail -> half -> what was last read of it: one check's points together."""
    found: dict[tuple[str, str], list[Judged]] = {}
    for point_id, one in newest.items():
        half = engine.half_of(known.board, point_id)
        if half is not None and one.point.rail is not None:
            found.setdefault((one.point.rail, half), []).append(one)
    halves: dict[str, dict[str, Half]] = {}
    for (rail_id, half), read in found.items():
        last = max(read, key=_order)
        words = [o.verdict.word.value for o in read if o.check.id == last.check.id]
        halves.setdefault(rail_id, {})[half] = Half(engine.worst(words), last)
    return halves


def _order(one: Judged) -> tuple[datetime, int]:
    return one.reading.taken_at, one.reading.pk


def _condition(known: Known) -> str:
    """The board's condition now: that of the newest reading which has one."""
    conditions = [r.condition for r in known.readings if r.condition]
    return conditions[-1] if conditions else ""


# --- the bench's ladder -----------------------------------------------------


def bench(
    known: Known,
    place: Place,
    *,
    open_stage: str,
    in_hand: str | None,
    speaks: Mapping[str, Collection[str]],
    walked: Mapping[str, str],
) -> dict[str, Any]:
    """Context of ``ladder/_bench.html``: one stage open, one rail in hand.

    ``speaks`` says by rail whether its readings are for or against the first suspect,
    ``walked`` by stage how far its walk is.
    """
    shown = rungs(known, now(known))
    return {
        "strip": [worst for _name, worst in _worst(known, shown)],
        "stages": [
            {
                "id": stage.id,
                "name": sayings.family_text(stage.name),
                "is_open": stage.id == open_stage,
                "summary": _summary_of(known, stage, shown),
                "walked": walked.get(stage.id, ""),
                "speaks": _speaks_in(known, stage, speaks),
                "url": place.url(stage=stage.id),
                "rungs": [
                    _row(known, place, rail, shown[rail.id])
                    | {
                        "is_in_hand": rail.id == in_hand,
                        "speaks": sorted(speaks.get(rail.id, ()), reverse=True),
                    }
                    for rail in _rails(known, stage)
                ],
            }
            for stage in known.board.family.stages
        ],
    }


def _speaks_in(
    known: Known, stage: Stage, speaks: Mapping[str, Collection[str]]
) -> list[tuple[str, int]]:
    """How many rungs of a stage speak for the first suspect, and against it."""
    ways = Counter(
        way for rail in _rails(known, stage) for way in speaks.get(rail.id, ())
    )
    return sorted(ways.items(), reverse=True)


def _summary_of(known: Known, stage: Stage, shown: Mapping[str, Shown]) -> str:
    return summary([shown[rail.id].rung.word for rail in _rails(known, stage)])


def _rails(known: Known, stage: Stage) -> list[Rail]:
    return [rail for rail in known.board.rails.values() if rail.stage == stage.id]


def _row(known: Known, place: Place, rail: Rail, shown: Shown) -> dict[str, Any]:
    return {
        "id": rail.id,
        "plain": sayings.family_text(rail.name),
        "word": shown.rung.word,
        "word_text": shown.word_text,
        "value": shown.value if shown.live else "",
        "cold_note": _cold_note(shown),
        "url": _url(known, place, rail, shown.newest),
    }


def _cold_note(shown: Shown) -> str:
    return sayings.reading_value(shown.cold.newest.reading) if shown.cold else ""


def _url(known: Known, place: Place, rail: Rail, newest: Judged | None) -> str:
    """The rail's newest reading, else the first check that reads it."""
    if newest is not None:
        return place.url(reading=newest.reading.pk)
    for point in known.board.points.values():
        if point.rail == rail.id and engine.half_of(known.board, point.id):
            return place.url(check=point.check, point=point.id)
    return place.url(stage=rail.stage)


def summary(words: list[str]) -> str:
    """ "1 down · 3 up": a stage in words, worst first."""
    counted = Counter(words)
    return " · ".join(
        f"{counted[word]} {sayings.RUNGS[word]}"
        for word in WORST_FIRST
        if counted[word]
    )


# --- twin -------------------------------------------------------------------


def twin(known: Known, ticket: Ticket) -> dict[str, Any]:
    """Context of ``ladder/_twin.html``: as it came and now, the same rails."""
    before = rungs(known, as_it_came(known, ticket))
    after = rungs(known, now(known))
    stages = []
    for stage in known.board.family.stages:
        rows = [
            _pair(rail.id, before[rail.id], after[rail.id])
            for rail in _rails(known, stage)
            if after[rail.id].rung.word != "not_fitted"
        ]
        if rows:
            name = sayings.family_text(stage.name)
            stages.append({"id": stage.id, "name": name, "rungs": rows})
    return {"stages": stages}


def _pair(rail_id: str, before: Shown, after: Shown) -> dict[str, Any]:
    return {
        "id": rail_id,
        "is_changed": before.rung.word != after.rung.word,
        "before": _half(before),
        "now": _half(after),
    }


def _half(shown: Shown) -> dict[str, str]:
    return {
        "word": shown.rung.word,
        "word_text": shown.word_text,
        "value": shown.value,
    }


def worst_by_stage(known: Known) -> list[tuple[str, str]]:
    """Name and worst rung's word of every stage that has rails, input to core."""
    return _worst(known, rungs(known, now(known)))


def _worst(known: Known, shown: Mapping[str, Shown]) -> list[tuple[str, str]]:
    return [
        (sayings.family_text(stage.name), worst)
        for stage in known.board.family.stages
        if (
            worst := engine.worst_rung(
                shown[rail.id].rung.word for rail in _rails(known, stage)
            )
        )
    ]
