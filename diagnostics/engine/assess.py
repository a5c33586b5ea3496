"""From all that is known of a board to suspects and the next best check. PURE.

    P(fault | all) ~ prior * factors of what is seen, done and said
                     * mean over virtual boards of the product over the readings

Then: which parts no open check tells apart; what the open checks are worth a minute,
gates and the change of condition counted; whether any is worth it still; and the
check that proves the first suspect before the iron.
"""

from collections.abc import Collection, Mapping

import numpy as np

from diagnostics.engine.asks import Outlook
from diagnostics.engine.assessment import Assessment, Learned, Offer
from diagnostics.engine.beliefs import believed, looking_alike
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.predict import point_of
from diagnostics.engine.evidence import Evidence, Seen, Situation
from diagnostics.engine.explain import Explainer
from diagnostics.engine.kernels import Usual
from diagnostics.engine.models import Model
from diagnostics.engine.offers import TOLD_APART, Planner, chain_to
from diagnostics.engine.pairs import NO_PAIRS, Posterior, is_worth_it, opened
from diagnostics.engine.reasons import Reason, reason
from diagnostics.engine.suspecting import Suspecting
from diagnostics.engine.telling import Heard, heard, is_answered
from diagnostics.engine.weigh import CERTAINTY
from diagnostics.engine.worth import worth_of_a_nat

SURE = 0.9
# While readings disagree no name is likelier than not (judgement).
MOST_WHILE_ODD = 0.5
FAMILY_ALONE = Learned()


def assess(
    model: Model,
    evidence: Evidence,
    situation: Situation,
    *,
    before: Floats | None = None,
    usual: Mapping[int, Usual] | None = None,
    learned: Learned = FAMILY_ALONE,
) -> Assessment:
    """Assess a board. ``before`` is the prior of each fault, where this shop has
    learned one; ``usual`` what its good boards of the model read.

    Raises ``EvidenceError`` for a point that the board doesn't have.
    """
    start = model.before if before is None else before
    prior = believed(model.board, model.faults, start, evidence)
    told = heard(model, evidence, prior, usual or {})
    found = posterior(told, looking_alike(model.faults, evidence))
    outlook = outlook_of(model, told, situation)
    explainer = explainer_of(model, evidence, told, found)
    suspecting = Suspecting(model, found, outlook, explainer)
    planner = Planner(model, outlook, situation)
    read = {point_of(column) for column in told.weighing.read}
    odd = explainer.disagreements(found, told.disagree)
    sure = suspecting.confidence
    return Assessment(
        suspects=suspecting.suspects,
        no_fault=float(found.shares[0]),
        something_else=found.something_else,
        confidence=min(sure, MOST_WHILE_ODD) if odd else sure,
        offers=tuple(plan.offer for plan in planner.plans),
        stop=_stop(model, planner, found, suspecting.first),
        confirm=_confirm(model, planner, suspecting),
        disagreements=tuple(odd),
        measured=len(read),
        not_looked_at=not_looked_at(model, read),
        learned=learned,
    )


def posterior(told: Heard, lookalikes: Floats) -> Posterior:
    """Single faults; pairs too where no single one explains all.

    ``lookalikes`` say of each fault how much likelier than it something is that
    shows the same and is in no family.
    """
    scores, boards = told.weighing.scores()
    likelihoods = np.exp(told.weighing.logs - told.weighing.logs.max()).mean(axis=1)
    _shares, other, _boards = told.weighing.posterior()
    is_poor = is_worth_it(told.weighing, told.now, other - (1 - CERTAINTY))
    pairs = opened(told.weighing, told.now) if is_poor else NO_PAIRS
    every = np.concatenate([scores, pairs.scores, [told.weighing.something_else]])
    weights = np.exp(every - every.max())
    singles = len(scores)
    weights[-1] += float(weights[:singles] @ lookalikes)
    weights = CERTAINTY * weights / weights.sum()
    return Posterior(
        shares=weights[:singles],
        boards=boards,
        likelihoods=likelihoods,
        something_else=float(weights[-1]) + 1 - CERTAINTY,
        pairs=pairs,
        of_pairs=weights[singles:-1],
    )


def outlook_of(model: Model, told: Heard, situation: Situation) -> Outlook:
    def is_open(point_id: str) -> bool:
        if point_id not in model.board.points:
            return False
        check = model.board.check(model.board.point(point_id).check)
        return (
            point_id not in situation.passed_by
            and not check.is_on_request
            and model.board.is_fitted(point_id)
            and chain_to(model, situation, point_id) is not None
        )

    return model.asker.outlook(told.weighing, is_open)


def explainer_of(
    model: Model, evidence: Evidence, told: Heard, found: Posterior
) -> Explainer:
    values = {seen.point_id: _shown(model, seen) for seen in evidence.seen}
    units = {point: model.board.point(point).unit for point in values}
    return Explainer(
        model.kernels, told.weighing.priors, found.boards, told.now, values, units
    )


def _shown(model: Model, seen: Seen) -> float | str | None:
    """The answer where a reading counts by that, else its value."""
    is_word = bool(seen.answer) and is_answered(model, seen)
    return seen.answer if is_word else seen.value


def _stop(
    model: Model, planner: Planner, found: Posterior, first: float
) -> Reason | None:
    """Why to name now; ``first`` is the probability of what would be named."""
    worth = worth_of_a_nat(model.board, model.faults, found.shares)
    best = next(iter(planner.plans), None)
    if best is not None and best.rate * worth >= 1:
        return None
    if first >= SURE:
        return reason("sure_enough")
    if best is None:
        return reason("nothing_open")
    return reason("not_worth_it", minutes=best.offer.minutes)


def _confirm(model: Model, planner: Planner, suspecting: Suspecting) -> Offer | None:
    """The open check that best tells the first suspect from all the others."""
    if not suspecting.suspects:
        return None
    outlook = planner.outlook
    mine = model.rows_of[suspecting.suspects[0].key]
    others = [row for row in outlook.likely.tolist() if row not in mine]
    apart = outlook.apart_by_check([mine, others])[:, 1]
    if not len(apart) or apart.max() < TOLD_APART:
        return None
    best = [*outlook.rows][int(apart.argmax())]
    return planner.offer_of(outlook.asker.points[best])


def not_looked_at(model: Model, read: Collection[str]) -> tuple[str, ...]:
    """Stages of which no reading counts."""
    board = model.board
    looked_at = {board.check(board.point(point).check).stage for point in read}
    return tuple(
        stage.id
        for stage in board.family.stages
        if stage.id not in looked_at and board.is_fitted(stage.id)
    )
