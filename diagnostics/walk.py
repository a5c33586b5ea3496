"""Where a technician is in a board's walk: what is read, passed by, and next."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from diagnostics import conditions, passing, skipping
from diagnostics.bridge import Known
from diagnostics.engine.family import Check, Point, Stage
from diagnostics.engine.gates import Hold
from diagnostics.models import PassedBy


@dataclass(frozen=True)
class Step:
    """One point of one check, in the order of the walk."""

    stage: Stage
    check: Check
    point: Point
    is_read: bool


@dataclass(frozen=True)
class Progress:
    """How many points of a stage are read, passed by, held off and open.

    What is wanted on request alone counts once it is read.
    """

    stage: Stage
    read: int = 0
    passed_by: int = 0
    held: int = 0
    open: int = 0

    @property
    def all(self) -> int:
        return self.read + self.passed_by + self.held + self.open

    @property
    def is_walked(self) -> bool:
        """Nothing is left to take: the rest was passed by or is held off."""
        return self.open == 0


@dataclass(frozen=True)
class Walk:
    """The walk of every stage of one board, with what is read and passed by."""

    known: Known
    steps: tuple[Step, ...]
    skips: Mapping[str, PassedBy] = field(default_factory=dict)

    def of_stage(self, stage_id: str) -> tuple[Step, ...]:
        return tuple(step for step in self.steps if step.stage.id == stage_id)

    def of_check(self, check_id: str) -> tuple[Step, ...]:
        return tuple(step for step in self.steps if step.check.id == check_id)

    def at(self, point_id: str) -> Step | None:
        return next((step for step in self.steps if step.point.id == point_id), None)

    def checks_in(self, stage_id: str) -> list[Check]:
        steps = self.of_stage(stage_id)
        return list({step.check.id: step.check for step in steps}.values())

    def holds(self, check_id: str) -> tuple[Hold, ...]:
        if check_id not in self._holds:
            self._holds[check_id] = passing.holds(self.known, check_id)
        return self._holds[check_id]

    @cached_property
    def _holds(self) -> dict[str, tuple[Hold, ...]]:
        """Gates are asked once for each check, however often a page shows it."""
        return {}

    @cached_property
    def condition(self) -> str:
        return conditions.now_of(self.known).condition

    def is_passed_by(self, check_id: str) -> bool:
        return check_id in self.skips

    def is_for_later(self, check_id: str) -> bool:
        skip = self.skips.get(check_id)
        return skip is not None and skip.why == skipping.LATER

    def progress(self) -> Iterator[Progress]:
        for stage in self.known.board.family.stages:
            steps = self.of_stage(stage.id)
            if steps:
                yield self._progress(stage, steps)

    def _progress(self, stage: Stage, steps: tuple[Step, ...]) -> Progress:
        counted = [self._word(step) for step in steps]
        read, passed, held, left = (
            counted.count(word) for word in ("read", "passed_by", "held", "open")
        )
        return Progress(stage, read, passed, held, left)

    def _word(self, step: Step) -> str:
        if step.is_read:
            return "read"
        if self.is_passed_by(step.check.id):
            return "passed_by"
        if step.check.is_on_request:
            return "on_request"
        return "held" if self.holds(step.check.id) else "open"

    # --- what comes next

    def open_in(self, stage_id: str, after: str = "") -> Iterator[Step]:
        """The unread steps of a stage that nothing holds off and nobody passed by.

        Those in the board's present condition come first, and of these the ones
        behind the check ``after``; what was passed by until later, last.
        """
        steps = self._turned(stage_id, after)
        taken = [step for step in steps if self._is_open(step)]
        yield from sorted(taken, key=self._needs_change)
        for step in steps:
            is_later = self.is_for_later(step.check.id) and step.check.id != after
            if is_later and not step.is_read and not self.holds(step.check.id):
                yield step

    def _turned(self, stage_id: str, after: str) -> tuple[Step, ...]:
        steps = self.of_stage(stage_id)
        places = [n for n, step in enumerate(steps) if step.check.id == after]
        first = places[-1] + 1 if places else 0
        return steps[first:] + steps[:first]

    def _is_open(self, step: Step) -> bool:
        check = step.check
        is_left = not (step.is_read or self.is_passed_by(check.id))
        return is_left and not check.is_on_request and not self.holds(check.id)

    def _needs_change(self, step: Step) -> bool:
        return step.check.condition not in {"", self.condition}

    def held_in(self, stage_id: str) -> list[tuple[Check, Hold]]:
        """The unread checks of a stage that a gate holds off, each with why."""
        found: dict[str, tuple[Check, Hold]] = {}
        for step in self.of_stage(stage_id):
            if step.is_read or step.check.id in found:
                continue
            holds = self.holds(step.check.id)
            if holds:
                found[step.check.id] = (step.check, holds[0])
        return list(found.values())

    def next_step(self, stage_id: str, check_id: str = "") -> Step | None:
        """What comes next: this check's other points, its stage, what frees it.

        Then the following stages, so that the walk ends only when all is read or
        passed by; a check that was just put off until later comes last of all.
        """
        for step in self.of_check(check_id):
            if not step.is_read and not self._is_closed(check_id):
                return step
        for stage in self.stages_from(stage_id):
            following = next(self.open_in(stage, check_id), None)
            following = following or self._frees(stage)
            if following is not None:
                return following
        return self._put_off(check_id)

    def _is_closed(self, check_id: str) -> bool:
        return self.is_passed_by(check_id) or bool(self.holds(check_id))

    def _put_off(self, check_id: str) -> Step | None:
        if not self.is_for_later(check_id) or self.holds(check_id):
            return None
        return next((s for s in self.of_check(check_id) if not s.is_read), None)

    def _frees(self, stage_id: str) -> Step | None:
        """The check that frees a held one; one that was passed by stays so."""
        for check, hold in self.held_in(stage_id):
            if self.is_passed_by(check.id) or self._is_closed(hold.frees):
                continue
            for step in self.of_check(hold.frees):
                if not step.is_read:
                    return step
        return None

    def stages_from(self, stage_id: str) -> list[str]:
        ids = [stage.id for stage in self.known.board.family.stages]
        first = ids.index(stage_id) if stage_id in ids else 0
        return ids[first:] + ids[:first]


def walk_of(known: Known) -> Walk:
    """Every fitted point of the board, stage by stage, in natural order."""
    read = {
        point_id
        for point_id, one in passing.our_newest(known).items()
        if not passing.is_stale(known, one)
    }
    board = known.board
    steps = tuple(
        Step(stage, check, point, point.id in read)
        for stage in board.family.stages
        for check in board.walk(stage.id)
        for point in board.fitted_points(check.id)
    )
    return Walk(known, steps, skipping.skips_of(known))
