"""Which of the engine's offers is shown: one that the walk knows and nothing holds."""

from collections.abc import Iterable
from dataclasses import dataclass

from diagnostics.engine.assessment import Assessment, Offer
from diagnostics.walk import Step, Walk


@dataclass(frozen=True)
class Best:
    """An offered check, with where it stands in the walk."""

    offer: Offer
    step: Step


def best(walk: Walk, said: Assessment | None) -> Best | None:
    """The next best check; none while nothing is said, or once it is enough."""
    if said is None or said.stop is not None:
        return None
    return _first_open(walk, said.offers)


def confirming(walk: Walk, said: Assessment | None) -> Best | None:
    """The check that proves the first suspect before the iron."""
    if said is None or said.confirm is None:
        return None
    return _first_open(walk, [said.confirm])


def _first_open(walk: Walk, offers: Iterable[Offer]) -> Best | None:
    for offer in offers:
        step = walk.at(offer.point_id)
        if step is not None and is_free(walk, step):
            return Best(offer, step)
    return None


def is_free(walk: Walk, step: Step) -> bool:
    """Nothing holds it off, and nobody passed it by."""
    check_id = step.check.id
    return not (walk.is_passed_by(check_id) or walk.holds(check_id))
