"""What to measure next, some checks ahead, and when to stop. PURE.

A plan is worth what it costs in minutes and what a wrong name at its end would cost:

    value(belief) = min(stop(belief), min over checks of
                        minutes + sum over answers of P(answer) value(belief after))

    stop(belief) = min over names of minutes of that wrong name x P(it is wrong).

The tree is cut to what matters: the few checks that tell most of the name for a
minute at the first two steps, from then on the one that tells most (greedy; so it is
a rollout that looks two steps for a better start), stopping wherever that is best.
Branches of little weight stop where they are. Greedy alone is a third above the
optimum on a published example; this is within a tenth (tests/engine/test_ahead.py
holds both against the exact optimum, ``manage.py measure`` prints it).

Given fault the checks are independent here: the caller foretells them on the boards
as likely as they are now, and plans anew after every reading.
"""

from dataclasses import dataclass

import numpy as np

from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.discrete import LEAST, entropy

Whole = np.typing.NDArray[np.intp]
Flags = np.typing.NDArray[np.bool_]

LEAST_TOLD = 1e-3  # nats; a check that tells less is no step
LEAST_CHANCE = 1e-4  # of an answer


@dataclass(frozen=True)
class Reach:
    """How far to look: so many checks at the first and at the second step, so many
    steps in all, and the least weight of a branch that is looked at."""

    first: int = 4
    second: int = 3
    steps: int = 4
    least: float = 0.004


REACH = Reach()


class Question:
    """Checks with a few answers, hypotheses in groups, and what everything costs.

    ``tables`` (checks, hypotheses, answers): chances of the answers; ``minutes`` of
    each check. ``group`` is the number of the name that each hypothesis would be
    given, ``wrong`` the minutes of each name where it is wrong. ``condition`` is the
    number of the condition that each check needs, ``change`` (conditions,
    conditions) the minutes from one to another; without them there is one.
    """

    def __init__(
        self,
        tables: Floats,
        minutes: Floats,
        group: Whole,
        wrong: Floats,
        *,
        condition: Whole | None = None,
        change: Floats | None = None,
    ) -> None:
        self.tables, self.minutes = tables.astype(np.float32), minutes
        self.checks, self.hypotheses, self.answers = tables.shape
        self.wrong = wrong
        self.member = np.eye(len(wrong))[group]
        self.condition = (
            np.zeros(self.checks, dtype=int) if condition is None else condition
        )
        self.change = np.zeros((1, 1)) if change is None else change
        self._flat = self.tables.transpose(1, 0, 2).reshape(self.hypotheses, -1)
        counts = np.bincount(group, minlength=len(wrong))
        self._several = [
            np.flatnonzero(group == one) for one in np.flatnonzero(counts > 1)
        ]
        is_alone = counts[group] == 1
        self._of_alone = np.where(is_alone, entropy(self.tables), 0.0)

    def stop(self, shares: Floats) -> Floats:
        """Minutes expected to be lost by naming now, of beliefs (.., hypotheses)."""
        made: Floats = (self.wrong * (1 - shares @ self.member)).min(axis=-1)
        return made

    def told(self, shares: Floats) -> Floats:
        """What each check tells of the name, in nats: (beliefs, checks)."""
        shares = shares.astype(np.float32)
        found: Floats = _unordered(self._answers(shares, slice(None)))
        for own in self._several:
            of_group = shares[:, own].sum(axis=1, keepdims=True)
            inside = _unordered(self._answers(shares, own))
            found = found - (inside - _unordered(of_group[:, :, None]))
        with np.errstate(invalid="ignore"):  # of lanes that BLAS leaves unused
            made: Floats = found - shares @ self._of_alone.T
        return made

    def minutes_from(self, conditions: Whole) -> Floats:
        """Minutes of each check from where one is: (beliefs, checks)."""
        made: Floats = self.minutes + self.change[conditions][:, self.condition]
        return made

    def _answers(self, shares: Floats, own: Whole | slice) -> Floats:
        with np.errstate(invalid="ignore"):
            chances = shares[:, own] @ self._flat[own]
        return chances.reshape(len(shares), self.checks, self.answers)


def _unordered(rows: Floats) -> Floats:
    """-sum of p log p along the last axis, of weights that need not add up."""
    made: Floats = -(rows * np.log(np.maximum(rows, LEAST))).sum(axis=-1)
    return made


@dataclass(frozen=True)
class Beliefs:
    """Nodes of the tree: shares (nodes, hypotheses), how likely each is reached,
    which checks were asked on the way, and in which condition one is."""

    shares: Floats
    weights: Floats
    asked: Flags
    conditions: Whole


@dataclass(frozen=True)
class Plan:
    """A check to begin with, and all that is then expected to be spent, minutes."""

    check: int
    minutes: float


def plans(
    question: Question, shares: Floats, condition: int = 0, reach: Reach = REACH
) -> tuple[float, list[Plan]]:
    """What naming now is expected to cost, and the best first checks, best first."""
    root = Beliefs(
        shares[None, :],
        np.ones(1),
        np.zeros((1, question.checks), dtype=bool),
        np.array([condition]),
    )
    stop = float(question.stop(shares))
    nodes, checks = _steps(question, root, 0, reach)
    if not len(nodes):
        return stop, []
    costs = _costs(question, root, (nodes, checks), 0, reach)
    made = [Plan(int(c), float(q)) for c, q in zip(checks, costs, strict=True)]
    return stop, sorted(made, key=lambda one: (one.minutes, one.check))


def _values(question: Question, nodes: Beliefs, step: int, reach: Reach) -> Floats:
    """What is expected to be spent from each node on."""
    found = question.stop(nodes.shares)
    if step >= reach.steps:
        return found
    pairs = _steps(question, nodes, step, reach)
    if len(pairs[0]):
        np.minimum.at(found, pairs[0], _costs(question, nodes, pairs, step, reach))
    return found


def _steps(
    question: Question, nodes: Beliefs, step: int, reach: Reach
) -> tuple[Whole, Whole]:
    """Pairs of a node and a check that is worth a look there."""
    heavy = np.flatnonzero(nodes.weights > reach.least)
    if not len(heavy):
        return heavy, heavy
    told = question.told(nodes.shares[heavy])
    told = np.where(nodes.asked[heavy], 0.0, told)
    rates = told / question.minutes_from(nodes.conditions[heavy])
    many = (reach.first, reach.second)[step] if step < 2 else 1
    many = min(many, question.checks)
    best = np.argpartition(-rates, many - 1, axis=1)[:, :many]
    tells = np.take_along_axis(told, best, axis=1) > LEAST_TOLD
    return np.repeat(heavy, tells.sum(axis=1)), best[tells]


def _costs(
    question: Question,
    nodes: Beliefs,
    pairs: tuple[Whole, Whole],
    step: int,
    reach: Reach,
) -> Floats:
    """Of each pair: the check's minutes and what is expected after each answer."""
    at, checks = pairs
    joint = nodes.shares[at][:, :, None] * question.tables[checks]
    chances = joint.sum(axis=1)
    pair, answer = np.nonzero(chances > LEAST_CHANCE)
    chance = chances[pair, answer]
    asked = nodes.asked[at[pair]].copy()
    asked[np.arange(len(pair)), checks[pair]] = True
    after = Beliefs(
        joint[pair, :, answer] / chance[:, None],
        nodes.weights[at[pair]] * chance,
        asked,
        question.condition[checks[pair]],
    )
    values = chance * _values(question, after, step + 1, reach)
    minutes = question.minutes_from(nodes.conditions[at])
    made: Floats = minutes[np.arange(len(at)), checks] + np.bincount(
        pair, weights=values, minlength=len(at)
    )
    return made


# --- fewer answers -----------------------------------------------------------------


def narrowed(tables: Floats, shares: Floats, answers: int) -> Floats:
    """The same checks with fewer answers: neighbours become one, those first that
    lose least of what they tell. (checks, hypotheses, answers) in and out.
    """
    joint = tables * shares[None, :, None]
    known = _known(joint)
    while joint.shape[2] > answers:
        pairs = joint[:, :, :-1] + joint[:, :, 1:]
        together = _known(pairs)
        least = (known[:, :-1] + known[:, 1:] - together).argmin(axis=1)
        joint, known = _joined(joint, known, pairs, together, least)
    made: Floats = joint / np.maximum(shares, LEAST)[None, :, None]
    return made


def _known(joint: Floats) -> Floats:
    """Of each answer, how much is known after it: sum over hypotheses of p log p."""
    inside = -_unordered(joint.transpose(0, 2, 1))
    made: Floats = inside + _unordered(joint.sum(axis=1)[:, :, None])
    return made


def _joined(
    joint: Floats, known: Floats, pairs: Floats, together: Floats, at: Whole
) -> tuple[Floats, Floats]:
    """Each check with one pair of its answers made one."""
    rows = np.arange(len(joint))
    joint[rows, :, at], known[rows, at] = pairs[rows, :, at], together[rows, at]
    keep = np.ones(known.shape, dtype=bool)
    keep[rows, at + 1] = False
    size = (len(joint), -1, joint.shape[1])
    return (
        joint.transpose(0, 2, 1)[keep].reshape(size).transpose(0, 2, 1).copy(),
        known[keep].reshape(len(joint), -1),
    )
