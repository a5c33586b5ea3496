"""The least that finding a fault can cost: dynamic programming over all policies.

Exact for boards small enough to try everything: the value of what is known so far is
the better of naming now and the best check, with every answer followed to its end.
The latent board is kept whole, as the engine's own arithmetic does.
"""

from collections.abc import Callable
from dataclasses import dataclass
from heapq import heapify, heappop, heappush
from math import log

import numpy as np

from diagnostics.engine import ahead
from diagnostics.engine.ahead import Question, Whole
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.discrete import entropy, foretold

NAMED = 1000.0  # minutes of a wrong name where the fault must be found


@dataclass(frozen=True)
class Problem:
    """``tables`` (checks, faults, answers, boards); else as ``ahead.Question``."""

    priors: Floats
    tables: Floats
    minutes: Floats
    group: Whole
    wrong: Floats
    condition: Whole
    change: Floats

    @property
    def checks(self) -> int:
        return len(self.minutes)

    @property
    def joint(self) -> Floats:
        """Faults and boards before the first answer."""
        boards = self.tables.shape[3]
        made: Floats = np.repeat(self.priors[:, None], boards, axis=1) / boards
        return made

    def stop(self, joint: Floats) -> float:
        by_name = np.bincount(self.group, joint.sum(axis=1), minlength=len(self.wrong))
        return float((self.wrong * (joint.sum() - by_name)).min())

    def after(self, joint: Floats, check: int) -> list[Floats]:
        """Joint after each answer that may come."""
        every = joint[:, None, :] * self.tables[check]
        found = [every[:, answer] for answer in range(every.shape[1])]
        return [one for one in found if one.sum() > 1e-12]

    def minutes_of(self, check: int, condition: int) -> float:
        change = self.change[condition, self.condition[check]]
        return float(self.minutes[check] + change)

    def question(self, joint: Floats, checks: list[int]) -> Question:
        """As the engine asks it, of some checks on the boards still likely."""
        boards = joint / np.maximum(joint.sum(axis=1, keepdims=True), 1e-300)
        rows = [foretold(self.tables[check], boards) for check in checks]
        return Question(
            np.array(rows),
            self.minutes[checks],
            self.group,
            self.wrong,
            condition=self.condition[checks],
            change=self.change,
        )


def sure(
    priors: list[float] | Floats,
    rows: Floats,
    minutes: Floats | None = None,
    condition: Whole | None = None,
    change: Floats | None = None,
) -> Problem:
    """Checks that answer for sure, ``rows`` (checks, faults); every fault its own
    name, and it must be found."""
    checks, faults = rows.shape
    tables = np.eye(int(rows.max()) + 1)[rows][..., None]
    return Problem(
        np.asarray(priors, dtype=float),
        tables,
        np.ones(checks) if minutes is None else minutes,
        np.arange(faults),
        np.full(faults, NAMED),
        np.zeros(checks, dtype=int) if condition is None else condition,
        np.zeros((1, 1)) if change is None else change,
    )


# --- the optimum --------------------------------------------------------------------


def least(problem: Problem) -> float:
    """The expected cost of the best policy."""
    known: dict[tuple[bytes, tuple[int, ...], int], float] = {}

    def value(joint: Floats, asked: frozenset[int], condition: int) -> float:
        splits = {
            check: answers
            for check in range(problem.checks)
            if check not in asked and len(answers := problem.after(joint, check)) > 1
        }
        key = (np.round(joint, 13).tobytes(), tuple(splits), condition)
        if key not in known:
            costs = [problem.stop(joint)]
            for check, answers in splits.items():
                to = int(problem.condition[check])
                spent = problem.minutes_of(check, condition) * float(joint.sum())
                costs.append(
                    spent + sum(value(one, asked | {check}, to) for one in answers)
                )
            known[key] = min(costs)
        return known[key]

    return value(problem.joint, frozenset(), 0)


# --- policies -----------------------------------------------------------------------

Choice = int | None
Policy = Callable[[Problem, Floats, list[int], int], Choice]
"""The next check among the open ones, or ``None`` to name."""


def spent(problem: Problem, policy: Policy) -> float:
    """The expected cost of a policy, every answer followed."""

    def value(joint: Floats, asked: frozenset[int], condition: int) -> float:
        left = [check for check in range(problem.checks) if check not in asked]
        check = policy(problem, joint, left, condition) if left else None
        if check is None:
            return problem.stop(joint)
        to = int(problem.condition[check])
        here = problem.minutes_of(check, condition) * float(joint.sum())
        answers = problem.after(joint, check)
        return here + sum(value(one, asked | {check}, to) for one in answers)

    return value(problem.joint, frozenset(), 0)


def looking_ahead(
    problem: Problem, joint: Floats, left: list[int], condition: int
) -> Choice:
    shares = joint.sum(axis=1) / joint.sum()
    question = problem.question(joint, left)
    stop, found = ahead.plans(question, shares, condition)
    return left[found[0].check] if found and found[0].minutes < stop else None


def greedy(problem: Problem, joint: Floats, left: list[int], condition: int) -> Choice:
    """Most information a minute, while there is something to gain."""
    shares = joint.sum(axis=1) / joint.sum()
    question = problem.question(joint, left)
    told = question.told(shares[None])[0]
    if problem.stop(joint) < 1e-9 or told.max() < ahead.LEAST_TOLD:
        return None
    minutes = question.minutes_from(np.array([condition]))[0]
    return left[int(np.argmax(told / minutes))]


# --- bounds -------------------------------------------------------------------------


def huffman(priors: list[float]) -> float:
    """Mean length of the best code: what yes-or-no checks can't fall below."""
    weights = list(priors)
    heapify(weights)
    length = 0.0
    while len(weights) > 1:
        both = heappop(weights) + heappop(weights)
        length += both
        heappush(weights, both)
    return length


def entropy_bound(problem: Problem) -> float:
    """Minutes that no policy falls below: what is unknown, at the most that any
    check can tell for a minute."""
    answers = (problem.tables.max(axis=(1, 3)) > 0).sum(axis=1)
    tells = np.log(np.maximum(answers, 1)) / problem.minutes
    return float(entropy(problem.priors)) / float(tells.max())


def bits(priors: list[float]) -> float:
    return float(entropy(np.array(priors))) / log(2)
