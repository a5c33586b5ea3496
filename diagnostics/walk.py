"""Where a technician is in a board's walk: which points are read, what is next."""

from collections.abc import Iterator
from dataclasses import dataclass

from diagnostics import passing
from diagnostics.bridge import Known
from diagnostics.engine.family import Check, Point, Stage
from diagnostics.engine.gates import Hold


@dataclass(frozen=True)
class Step:
    """One point of one check, in the order of the walk."""

    stage: Stage
    check: Check
    point: Point
    is_read: bool


@dataclass(frozen=True)
class Progress:
    stage: Stage
    read: int
    all: int

    @property
    def is_walked(self) -> bool:
        return self.read == self.all


@dataclass(frozen=True)
class Walk:
    """The walk of every stage of one board, with what is read of it."""

    known: Known
    steps: tuple[Step, ...]

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
        return passing.holds(self.known, check_id)

    def progress(self) -> Iterator[Progress]:
        for stage in self.known.board.family.stages:
            steps = self.of_stage(stage.id)
            if steps:
                read = sum(step.is_read for step in steps)
                yield Progress(stage, read, len(steps))

    def open_in(self, stage_id: str, after: str = "") -> Iterator[Step]:
        """The unread steps of a stage that nothing holds off.

        Those behind the check ``after`` come first: the board's condition is
        seldom changed for a check that was passed by.
        """
        steps = self.of_stage(stage_id)
        places = [n for n, step in enumerate(steps) if step.check.id == after]
        first = places[-1] + 1 if places else 0
        held: dict[str, bool] = {}
        for step in steps[first:] + steps[:first]:
            check = step.check
            if step.is_read or check.is_on_request:
                continue
            if check.id not in held:
                held[check.id] = bool(self.holds(check.id))
            if not held[check.id]:
                yield step

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

        Then the following stages, so that the walk ends only when all is read.
        """
        for step in self.of_check(check_id):
            if not step.is_read and not self.holds(check_id):
                return step
        for stage in self.stages_from(stage_id):
            following = next(self.open_in(stage, check_id), None)
            following = following or self._frees(stage)
            if following is not None:
                return following
        return None

    def _frees(self, stage_id: str) -> Step | None:
        for _check, hold in self.held_in(stage_id):
            for step in self.of_check(hold.frees):
                if not self.holds(step.check.id) and not step.is_read:
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
    return Walk(
        known,
        tuple(
            Step(stage, check, point, point.id in read)
            for stage in board.family.stages
            for check in board.walk(stage.id)
            for point in board.fitted_points(check.id)
        ),
    )
