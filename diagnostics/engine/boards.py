"""A family of boards, a board model's patch over it, and one board. PURE.

``load_family`` reads the family's text files; ``board_of`` applies a board model's
patches through the same strict reading, so that a patch is refused for the same
reasons as a file.

>>> board = board_of(load_family("laptop_barrel"))
>>> board.yardstick("k27/main").limit_low
17.3
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TypeVar

from diagnostics.engine.errors import EvidenceError
from diagnostics.engine.family import (
    POWERED,
    STATE_OF,
    Block,
    Check,
    Expect,
    Family,
    Ohms,
    Part,
    PartMode,
    Point,
    Rail,
    Signal,
    Stage,
)
from diagnostics.engine.family_load import (
    FAMILY_IDS,
    load_family,
    load_family_file,
    load_family_text,
    load_family_texts,
    read_family,
)
from diagnostics.engine.family_patch import Patch
from diagnostics.engine.verdicts import RED_ON_GROUND, Yardstick

__all__ = [
    "FAMILY_IDS",
    "POWERED",
    "STATE_OF",
    "Block",
    "Board",
    "Check",
    "Expect",
    "Family",
    "Ohms",
    "Part",
    "PartMode",
    "Patch",
    "Point",
    "Rail",
    "Signal",
    "Stage",
    "board_of",
    "load_family",
    "load_family_file",
    "load_family_text",
    "load_family_texts",
]

Member = TypeVar("Member", Check, Point, Rail)


# --- boards -------------------------------------------------------------------


@dataclass(frozen=True)
class Board:
    """One board: its family with the model's patches, and what is not fitted.

    ``not_fitted`` holds ids of stages, rails and points.
    """

    family: Family
    not_fitted: frozenset[str] = frozenset()

    @property
    def rails(self) -> Mapping[str, Rail]:
        return self.family.rails

    @property
    def signals(self) -> Mapping[str, Signal]:
        return self.family.signals

    @property
    def blocks(self) -> Mapping[str, Block]:
        return self.family.blocks

    @property
    def parts(self) -> Mapping[str, Part]:
        return self.family.parts

    @property
    def checks(self) -> Mapping[str, Check]:
        return self.family.checks

    @cached_property
    def mains(self) -> frozenset[str]:
        """The rails on the high sides: what power there would reach a processor."""
        return frozenset(
            point.pair[0]
            for check in self.checks.values()
            if check.by_arithmetic
            for point in check.points
            if point.pair
        )

    @cached_property
    def points(self) -> Mapping[str, Point]:
        return self.family.points

    def check(self, wanted: str) -> Check:
        """The check, by its id or an old one; raises ``EvidenceError``."""
        return _found(self.checks, wanted, "unknown_check")

    def point(self, wanted: str) -> Point:
        """The point, by its id or an old one; raises ``EvidenceError``."""
        return _found(self.points, wanted, "unknown_point")

    def rail(self, wanted: str) -> Rail:
        """The rail, by its id or an old one; raises ``EvidenceError``."""
        return _found(self.rails, wanted, "unknown_rail")

    def walk(self, stage_id: str) -> tuple[Check, ...]:
        """The checks of a stage in their natural order."""
        ids = self.family.walks.get(stage_id, ())
        return tuple(self.checks[wanted] for wanted in ids)

    def is_fitted(self, wanted: str) -> bool:
        """Whether a stage, rail, signal, point, block or part is on this board."""
        if wanted in self.not_fitted:
            return False
        if wanted in self.points:
            return self._is_point_fitted(self.points[wanted])
        if wanted in self.parts:
            wanted = self.parts[wanted].block
            if wanted in self.not_fitted:
                return False
        for members in (self.rails, self.signals, self.blocks):
            member = members.get(wanted)
            if member is not None:
                return member.stage not in self.not_fitted
        return True

    def _is_point_fitted(self, point: Point) -> bool:
        nodes = (point.rail, point.signal, *(point.pair or ()))
        stage = self.checks[point.check].stage
        return all(
            self.is_fitted(wanted) for wanted in (stage, *nodes) if wanted is not None
        )

    def fitted_points(self, check_id: str) -> tuple[Point, ...]:
        return self._fitted_points[self.check(check_id).id]

    @cached_property
    def _fitted_points(self) -> Mapping[str, tuple[Point, ...]]:
        """Of every check; a board never changes, and gates ask for each reading."""
        return {
            check.id: tuple(one for one in check.points if self.is_fitted(one.id))
            for check in self.checks.values()
        }

    def cold_points(self, rail_id: str) -> tuple[Point, ...]:
        """Where a rail's ohms to ground are read."""
        return self._cold_points.get(rail_id, ())

    @cached_property
    def _cold_points(self) -> Mapping[str, tuple[Point, ...]]:
        found: dict[str, tuple[Point, ...]] = {}
        for check in self.checks.values():
            if check.mode != "R" or check.is_powered or check.opens:
                continue
            for point in self.fitted_points(check.id):
                if point.rail is not None and point.expect is None:
                    found[point.rail] = (*found.get(point.rail, ()), point)
        return found

    @cached_property
    def guards_of_power(self) -> tuple[str, ...]:
        """The family's power gates and every gate of a powered check."""
        own = (g for c in self.checks.values() if c.is_powered for g in c.gates)
        return tuple(dict.fromkeys((*self.family.power_gates, *own)))

    def yardstick(
        self,
        point_id: str,
        *,
        condition: str = "",
        fitted: Collection[str] = frozenset(),
    ) -> Yardstick | None:
        """What a reading there is held against, or ``None`` where nothing is known.

        Cold from the rail's ohms or diode band, live from its volts, else from
        the check's own figures. A live rail in a ``condition`` whose power state
        it may rightly be off in has no yardstick. ``fitted`` is what was in the
        board. Ohms across two rails have one only with the rails' own readings:
        see ``gates.yardstick_of``.
        """
        point = self.point(point_id)
        check = self.check(point.check)
        if point.expect is not None:
            return of_expect(point.expect, point, check.mode)
        if point.rail is None:
            return None
        rail = self.rails[point.rail]
        is_powered = (condition or check.condition) in POWERED
        state = STATE_OF.get(condition)
        if is_powered and state is not None and state not in rail.up_in:
            return None
        return of_rail(rail, check.mode, fitted)


def _found(among: Mapping[str, Member], wanted: str, code: str) -> Member:
    found = among.get(wanted) or next(
        (member for member in among.values() if wanted in member.was), None
    )
    if found is None:
        raise EvidenceError(code, id=wanted)
    return found


def of_rail(
    rail: Rail, mode: str, fitted: Collection[str] = frozenset()
) -> Yardstick | None:
    """The rail's yardstick for a meter mode, with this in the board."""
    ohms, diode = rail.ohms_in(fitted), rail.diode_in(fitted)
    if mode == "R" and ohms is not None:
        return Yardstick(
            unit="ohm",
            limit_low=ohms.short_below,
            limit_source=ohms.basis,
            usual_low=ohms.ok_from,
            usual_source=ohms.basis,
            watch_low=ohms.watch_below,
            needs_four_wire=ohms.needs_four_wire,
            without=ohms.without,
        )
    if mode == "D" and diode is not None:
        return Yardstick(
            unit="V",
            usual_low=diode[0],
            usual_high=diode[1],
            usual_source="cp",
            polarity=RED_ON_GROUND,
            ol_is_usual=rail.ol_is_usual,
        )
    return _of_volts(rail) if mode == "V" else None


def _of_volts(rail: Rail) -> Yardstick:
    source = f"{rail.basis}: {rail.source}"
    hard = (None, None) if rail.is_commanded else (rail.low, rail.high)
    usual = rail.usual or ((rail.low, rail.high) if rail.is_commanded else (None, None))
    return Yardstick(
        unit="V",
        limit_low=hard[0],
        limit_high=hard[1],
        limit_source="" if rail.is_commanded else source,
        usual_low=usual[0],
        usual_high=usual[1],
        usual_source=source if usual != (None, None) else "",
        only_with=rail.up_with,
        may_be_absent=rail.may_be_absent,
    )


def of_expect(expect: Expect, point: Point, mode: str) -> Yardstick:
    """A check's own figures as a yardstick; in diode mode they are the point's way."""
    low, high = expect.limit or (None, None)
    usual_low, usual_high = expect.usual or (None, None)
    source = f"{expect.basis}: {expect.source}"
    return Yardstick(
        unit=point.unit,
        limit_low=low,
        limit_high=high,
        limit_source=source if expect.limit else "",
        usual_low=usual_low,
        usual_high=usual_high,
        usual_source=source if expect.usual else "",
        needs_four_wire=expect.needs_four_wire,
        polarity=point.polarity if mode == "D" else "",
        ol_is_usual=expect.ol_is_usual,
        is_of_leads=expect.is_of_leads,
    )


def board_of(
    family: Family,
    patches: Sequence[Patch] = (),
    not_fitted: frozenset[str] = frozenset(),
) -> Board:
    """One board of a family, after its model's patches.

    Raises ``FamilyError`` for a patch as for a file (file "board model", no
    line), and ``unknown_patch`` (key) for a key that leads nowhere.
    """
    if patches:
        told = " ".join(sorted(f"{one.key}={one.value!r}" for one in patches))
        family = replace(read_family(family.texts, patches, family.hash), patched=told)
    return Board(family, not_fitted | family.not_fitted)
