"""Readings -> probabilities of faults, over a cloud of virtual boards. PURE.

For a fault h with sample boards k, readings y and points c,

    P(y | h) = mean over k of product over c of f(y_c | h, k),

f being a kernel about what board k reads: Student's t with 10 degrees of freedom, as
wide as the meter, the fault's own blur, and a share of the spread between designs,
because the shop's board is none of the sample. A reading that fault h leaves as it
is on board k tells nothing between such boards: it gets one pooled density, that of
good boards, so that chance survivors don't pretend to know (engine's design,
number 2). Twin phases are the exception: they are read against each other.

A reading is (1 - e) the model and e a missed contact: OL in ohms and diode mode,
about 0 V under power. *Something else* finds any reading of the physical range
equally likely; it wins only when all else fails.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import log
from typing import Any

import numpy as np

from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.discrete import over_boards
from diagnostics.engine.kernels import (
    BY_LEAK_OHMS,
    COLD,
    OHMS,
    OL_BY_LEAK,
    Kernels,
    Usual,
    scaled,
)

MISSED = 0.02
SOMETHING_ELSE = 0.02
CERTAINTY = 0.99
FREE = 10.0
FEWEST_BOARDS, MIXED = 8.0, 0.15
# What a missed contact shows, and the physical range of each mode (judgement).
MISS_OL, MISS_ELSE = 0.9, 0.02
MISS_VOLTS = 0.01
FLAT = {"R": 1 / 16, "C": 1 / 16, "D": 0.5, "V": 0.06, "I": 0.25}
FLAT_OL = 0.2
LEAST_DENSITY = 1e-12  # where a shop says that contacts are never missed
OVER_LIMIT = None
"""A reading of OL, where another has its SI value."""


# --- weighing ---------------------------------------------------------------------


@dataclass(frozen=True)
class Told:
    """One reading weighed: log densities (faults, boards), and of something else.

    ``touched`` (faults, boards): where the fault changes what is read there.
    """

    point: str
    touched: np.typing.NDArray[np.bool_]
    logs: Floats
    something_else: float


@dataclass
class Weighing:
    """What the readings so far make of the faults; one reading only reweighs."""

    kernels: Kernels
    priors: Floats
    missed: float = MISSED
    usual: Mapping[int, Usual] = field(default_factory=dict)

    def __post_init__(self) -> None:
        shape = self.kernels.predictions.means.shape
        self._logs = np.zeros((shape[0], shape[2]))
        self.something_else = log(SOMETHING_ELSE)
        self.told: list[Told] = []

    @property
    def read(self) -> tuple[str, ...]:
        """The points read so far, in their order."""
        return tuple(told.point for told in self.told)

    def take(self, point: str, value: float | None) -> None:
        """Weigh one reading, SI; ``None`` is OL."""
        self.add(self.tell(self.kernels.place[point], value))

    def add(self, told: Told) -> None:
        self._logs += told.logs
        self.something_else += told.something_else
        self.told.append(told)

    def add_earlier(self, group: Sequence[Told], of_touched: Sequence[int]) -> None:
        """Weigh readings from before the parts of some faults were touched.

        One of these faults may have been at work then, alone (where it is the same
        part's that is asked of now) or, on an even chance, beside the present one.
        """
        if not group or not of_touched:
            for told in group:
                self.add(told)
            return
        own = sum_of(group)
        boths = [self._both(group, row) for row in of_touched]
        beside = _log_mean(np.stack(boths))
        logs = np.logaddexp(own, beside) - log(2)
        logs[list(of_touched)] = _log_mean(own[list(of_touched)])
        self._logs += logs
        self.something_else += sum(told.something_else for told in group)
        self.told += group

    def _both(self, group: Sequence[Told], row: int) -> Floats:
        """Log densities of a group with the fault of a row beside each fault."""
        made: Floats = np.sum([together(told, row) for told in group], axis=0)
        return made

    def tell(
        self,
        at: int,
        value: float | Floats | None,
        missed: float | None = None,
    ) -> Told:
        """What a reading in a column says of each fault; adds nothing yet.

        ``value`` in SI, one for all or one for each board; ``missed`` the chance of
        a missed contact where it is not the usual one.
        """
        missed = self.missed if missed is None else missed
        mode = self.kernels.predictions.modes[at]
        miss = missed * _of_a_miss(mode, value)
        plain = self._densities(at, mode, value)
        densities = np.maximum((1 - missed) * plain + miss, LEAST_DENSITY)
        good = (1 - missed) * self._usual(at, mode, value, plain[0]) + miss
        pooled = float(np.log(np.maximum(good, LEAST_DENSITY)))
        touched = self.kernels.touched[:, at]
        flat = FLAT_OL if value is None else FLAT[mode]
        return Told(
            self.kernels.predictions.points[at],
            touched,
            np.where(touched, np.log(densities), pooled),
            log((1 - missed) * flat + float(np.mean(miss))),
        )

    def tell_answer(self, point: str, answer: str, missed: float | None = None) -> Told:
        """What an answer of a category check says; one of its answers is as likely
        as another where it was misjudged."""
        missed = self.missed if missed is None else missed
        answers = self.kernels.answers[point]
        even = 1 / len(answers.names)
        chances = answers.chances[:, answers.names.index(answer)]
        plain = (1 - missed) * chances + missed * even
        return Told(
            point,
            answers.touched,
            np.log(np.maximum(plain, LEAST_DENSITY)),
            log(even),
        )

    def _usual(
        self, at: int, mode: str, value: float | Floats | None, plain: Floats
    ) -> float:
        """The density of a good board's reading: the family's, or this model's."""
        family = float(plain.mean())
        usual = self.usual.get(at)
        if usual is None or value is None:
            return family
        one = scaled(mode, np.asarray(value, dtype=float))
        own = float(np.mean(_density((one - usual.centre) / usual.width)) / usual.width)
        return usual.weight * own + (1 - usual.weight) * family

    def _densities(self, at: int, mode: str, value: float | Floats | None) -> Floats:
        is_ol, centres = self.kernels.is_ol[:, at], self.kernels.centres[:, at]
        is_vague = (mode in OHMS) & (centres > log(BY_LEAK_OHMS))
        if value is None:
            return np.where(is_ol, 1.0, np.where(is_vague, OL_BY_LEAK, 1e-4))
        one = scaled(mode, np.asarray(value, dtype=float))
        width = self.kernels.widths[:, at]
        shown = np.where(is_vague, 1 - OL_BY_LEAK, 1.0)
        return np.where(is_ol, 0.0, shown * _density((one - centres) / width) / width)

    def posterior(self) -> tuple[Floats, float, Floats]:
        """Probabilities by fault, of something else, and of each fault's boards."""
        scores, boards = self.scores()
        every = np.append(scores, self.something_else)
        shares = np.exp(every - every.max())
        shares = CERTAINTY * shares / shares.sum()
        return shares[:-1], float(shares[-1]) + 1 - CERTAINTY, boards

    def scores(self) -> tuple[Floats, Floats]:
        """Unnormalised log probabilities by fault, and of each fault's boards."""
        means, boards = over_boards(self._logs)
        effective = 1 / (boards**2).sum(axis=1, keepdims=True)
        mixed = MIXED * np.clip((FEWEST_BOARDS - effective) / FEWEST_BOARDS, 0, 1)
        boards = boards * (1 - mixed) + mixed / boards.shape[1]
        return log_priors(self.priors) + means, boards

    @property
    def logs(self) -> Floats:
        """Log likelihood of all readings, (faults, boards)."""
        return self._logs


def log_priors(priors: Floats) -> Floats:
    """Logs of priors; what is out of the question stays so."""
    with np.errstate(divide="ignore"):
        made: Floats = np.log(priors)
    return made


EVERY_ROW = slice(None)


def together(told: Told, row: int, among: Any = EVERY_ROW) -> Floats:
    """One reading with two faults: each shows where the other changes nothing.

    Log densities (faults, boards) of every fault, or of some, beside the one of a row.
    """
    logs, other = told.logs[among], told.logs[row]
    theirs, its = told.touched[among], told.touched[row]
    made: Floats = np.where(its, other, logs)
    both = theirs & its
    if both.any():
        made = np.where(both, np.logaddexp(logs, other) - log(2), made)
    return made


def sum_of(group: Sequence[Told]) -> Floats:
    made: Floats = np.sum([told.logs for told in group], axis=0)
    return made


def _log_mean(logs: Floats) -> Floats:
    """Mean of the densities along the first axis, as a log."""
    made: Floats = np.logaddexp.reduce(logs, axis=0) - log(len(logs))
    return made


def _density(off: Floats) -> Floats:
    """Student's t with ``FREE`` degrees of freedom, of standardised offsets."""
    made: Floats = 0.39 * (1 + off * off / FREE) ** (-(FREE + 1) / 2)
    return made


def _of_a_miss(mode: str, value: float | Floats | None) -> float:
    if mode in COLD:
        return MISS_OL if value is OVER_LIMIT else MISS_ELSE
    near = np.exp(-0.5 * (np.mean(value or 0.0) / MISS_VOLTS) ** 2)
    high, rest = (27.0, 0.01) if mode == "V" else (5.0, 0.05)
    return float(high * near + rest)
