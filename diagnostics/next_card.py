"""What comes next: the next best check where there is one, else the walk's."""

from typing import Any

from diagnostics import advice_words, next_best, sayings, ways
from diagnostics.beside import Scene
from diagnostics.check_card import check_card
from diagnostics.engine.assessment import Assessment, Suspect
from diagnostics.engine.reasons import Reason
from diagnostics.engine.yardsticks import Word
from diagnostics.lit import Lit
from diagnostics.next_best import Best
from diagnostics.page_state import FREELY
from diagnostics.walk import Step, Walk

Card = dict[str, Any]


def under_verdict(scene: Scene, walk: Walk, lit: Lit) -> Card | None:
    """What stands under a verdict: back to a point, the walk, the best, why to stop."""
    best = next_best.best(walk, scene.said)
    if lit.next is not None and leads_back_or_on(scene, lit):
        return {
            "kind": "back" if lit.is_back else "walk",
            "check": check_card(scene, walk, lit.next),
            "best": None if lit.is_back else short_best(scene, best, lit.next),
        }
    if best is not None:
        return {
            **offered(scene, best),
            "kind": "best",
            "check": check_card(scene, walk, best.step),
            "walk": in_walk(scene, lit.next, best.step),
        }
    if (stop := stopping(scene)) is not None:
        return {**enough(scene, walk, stop), "walk": in_walk(scene, lit.next, None)}
    if lit.next is None:
        return None
    return {"kind": "walk", "check": check_card(scene, walk, lit.next)}


def short_best(scene: Scene, best: Best | None, following: Step) -> Card | None:
    """The next best check in a line, where the walk goes on elsewhere."""
    if best is None or best.step.point.id == following.point.id:
        return None
    return short(scene, best.step, way=ways.BEST)


def leads_back_or_on(scene: Scene, lit: Lit) -> bool:
    """Back to the point it was read for, on in the walk that is followed, or to the
    other points of a check that was chosen freely."""
    if lit.next is None or lit.judged is None:
        return False
    is_bad = lit.judged.verdict.word is Word.BAD
    goes_on = lit.taken == FREELY and lit.next.check is lit.judged.check
    return lit.is_back or scene.is_walking or (goes_on and not is_bad)


def in_hand(scene: Scene, walk: Walk, lit: Lit) -> Step | None:
    """The point that the next reading is of: none where a verdict is looked up."""
    if lit.judged is None:
        return lit.step
    if not lit.taken:
        return None
    if leads_back_or_on(scene, lit):
        return lit.next
    best = next_best.best(walk, scene.said)
    if best is not None:
        return best.step
    return None if stopping(scene) else lit.next


def beside_check(scene: Scene, walk: Walk, lit: Lit) -> Card | None:
    """The same beside a check in hand, in short; nothing where it is that check."""
    if lit.judged is not None and not (lit.taken and leads_back_or_on(scene, lit)):
        return None
    best, step = next_best.best(walk, scene.said), in_hand(scene, walk, lit)
    if best is not None:
        if step is not None and step.point.id == best.step.point.id:
            return None
        card = short(scene, best.step, way=ways.BEST)
        return {"kind": "best", **offered(scene, best), **card}
    stop = stopping(scene)
    return enough(scene, walk, stop) if stop is not None else None


def on_card(scene: Scene, walk: Walk, lit: Lit) -> Card | None:
    """That the check in hand is the best, why, and how the walk would go on."""
    best = next_best.best(walk, scene.said)
    if best is None or lit.step is None or lit.step.point.id != best.step.point.id:
        return None
    following = walk.next_step(lit.step.stage.id)
    return {**offered(scene, best), "walk": in_walk(scene, following, best.step)}


def stopping(scene: Scene) -> Reason | None:
    """Why no check is worth its minutes any more; that too tells how sure it is."""
    return scene.said.stop if scene.said and not scene.is_hidden else None


def enough(scene: Scene, walk: Walk, stop: Reason) -> Card:
    """Why to stop, the check that proves the suspect, and whom to name."""
    first = named(scene.said) if scene.said else None
    confirm = next_best.confirming(walk, scene.said)
    return {
        "kind": "enough",
        "why": advice_words.why(scene.known, stop),
        "confirm": {**offered(scene, confirm), **short(scene, confirm.step)}
        if confirm and first
        else None,
        "first": {
            "key": f"{first.part_id}:{first.mode_id}",
            "title": sayings.suspect_title(
                scene.known.board, first.part_id, first.mode_id
            ),
        }
        if first
        else None,
    }


def named(said: Assessment) -> Suspect | None:
    """The suspect that may be named: none of a good board, or of unlike readings."""
    if said.disagreements or said.is_healthy or not said.suspects:
        return None
    return said.suspects[0]


def offered(scene: Scene, best: Best) -> Card:
    offer = best.offer
    return {
        "why": advice_words.why(scene.known, offer.why, is_hidden=scene.is_hidden),
        "minutes": f"{round(offer.minutes, 1):g}",
        "changes_condition": offer.changes_condition,
        "condition": str(sayings.CONDITIONS[best.step.check.condition]),
    }


def short(scene: Scene, step: Step, way: str = "") -> Card:
    """A check in one line, to be taken in hand; with the ``way`` that it chooses."""
    check, point = step.check, step.point
    return {
        "title": sayings.row_title(scene.known.board, check, point),
        "check_id": check.id,
        "url": scene.place.url(check=check.id, point=point.id, way=way),
    }


def in_walk(scene: Scene, following: Step | None, best: Step | None) -> Card | None:
    """How the walk would go on, where that is another check."""
    if following is None or (best and following.point.id == best.point.id):
        return None
    return short(scene, following, way=ways.WALK)
