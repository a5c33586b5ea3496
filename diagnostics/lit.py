"""What is lit on the bench page: a point to read, or the verdict of one just read."""

from collections.abc import Mapping
from dataclasses import dataclass

from diagnostics.bridge import Judged, Known
from diagnostics.engine.family import Check
from diagnostics.walk import Step, Walk


@dataclass(frozen=True)
class Lit:
    """The card in hand: a point to read, or the verdict of one just read.

    One that was ``taken`` was read just now, as it was offered or by free choice: the
    next point's pad stands under its verdict. Under one that is looked up (""), what is
    next is only named.
    """

    step: Step | None
    judged: Judged | None = None
    next: Step | None = None
    is_back: bool = False
    taken: str = ""

    @property
    def stage_id(self) -> str:
        step = self.step or self.next
        return step.stage.id if step else ""

    @property
    def check(self) -> Check | None:
        return self.step.check if self.step else None


def lit_in(walk: Walk, state: Mapping[str, str], best: Step | None = None) -> Lit:
    """The card that a state of the page asks for; else ``best``, else the walk's."""
    judged = _judged(walk.known, state.get("reading", ""))
    if judged is not None:
        step = _step(walk, judged.check.id, judged.reading.point_id)
        stage = step.stage.id if step else judged.check.stage
        back = walk.at(state.get("back", ""))
        following = back or walk.next_step(stage, judged.check.id)
        taken = state.get("taken", "")
        return Lit(step, judged, following, back is not None, taken)
    step = _step(walk, state.get("check", ""), state.get("point", ""))
    if step is None and state.get("stage"):
        step = walk.next_step(state["stage"])
    return Lit(step or best or walk.next_step(*_newest(walk.known)))


def _judged(known: Known, reading_id: str) -> Judged | None:
    return next((o for o in known.judged if str(o.reading.pk) == reading_id), None)


def _step(walk: Walk, check_id: str, point_id: str) -> Step | None:
    steps = walk.of_check(check_id)
    named = [step for step in steps if step.point.id == point_id]
    unread = [step for step in steps if not step.is_read]
    return next(iter([*named, *unread, *steps]), None)


def _newest(known: Known) -> tuple[str, str]:
    """The stage and check of the newest reading: the walk goes on from there."""
    if not known.judged:
        return "", ""
    check = known.judged[-1].check
    return check.stage, check.id
