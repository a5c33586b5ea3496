"""The published networks of the project's check values, 4.1 to 4.4, as a board.

A hypothesis is one state of all causes that nobody reads; what is read is a check
with the answers 0 (no) and 1 (yes). So the engine's rule weighs them as it weighs
faults; there is one virtual board.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from math import prod

import numpy as np

from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.discrete import foretold, posterior

State = Mapping[str, bool]
Chance = Callable[[State], float]


@dataclass(frozen=True)
class Network:
    """``causes`` in an order in which each hangs on earlier ones only; ``checks``
    hang on causes. A chance is that of yes."""

    causes: Mapping[str, Chance]
    checks: Mapping[str, Chance]

    @property
    def states(self) -> list[dict[str, bool]]:
        names = tuple(self.causes)
        every = product((False, True), repeat=len(names))
        return [dict(zip(names, one, strict=True)) for one in every]

    @property
    def priors(self) -> Floats:
        return np.array(
            [
                prod(_of(chance, state, state[name]) for name, chance in self.pairs)
                for state in self.states
            ]
        )

    @property
    def pairs(self) -> Sequence[tuple[str, Chance]]:
        return list(self.causes.items())

    def table(self, name: str) -> Floats:
        """(states, answers, one board); a cause may be read as well."""
        chance = self.checks.get(name, lambda state: float(state[name]))
        rows = [
            [_of(chance, state, is_so) for is_so in (False, True)]
            for state in self.states
        ]
        return np.array(rows)[:, :, None]

    def shares(self, **seen: bool) -> Floats:
        answers = [(self.table(name), int(is_so)) for name, is_so in seen.items()]
        return posterior(self.priors, answers)[0]

    def chance(self, name: str, **seen: bool) -> float:
        """P(name | seen)."""
        boards = np.ones((len(self.states), 1))
        return float(self.shares(**seen) @ foretold(self.table(name), boards)[:, 1])


def _of(chance: Chance, state: State, is_so: bool) -> float:
    return chance(state) if is_so else 1 - chance(state)


def always(p: float) -> Chance:
    return lambda _state: p


def by(*names: str, **chances: float) -> Chance:
    """A table by the states of ``names``, written ``yn`` for yes and no."""

    def chance(state: State) -> float:
        return chances["".join("y" if state[name] else "n" for name in names)]

    return chance


ASIA = Network(
    causes={
        "A": always(0.01),
        "S": always(0.5),
        "T": by("A", y=0.05, n=0.01),
        "L": by("S", y=0.10, n=0.01),
        "B": by("S", y=0.6, n=0.3),
        "E": lambda state: float(state["T"] or state["L"]),
    },
    checks={
        "X": by("E", y=0.98, n=0.05),
        "D": by("E", "B", yy=0.9, yn=0.7, ny=0.8, nn=0.1),
    },
)
ALARM = Network(
    causes={
        "B": always(0.001),
        "E": always(0.002),
        "A": by("B", "E", yy=0.95, yn=0.94, ny=0.29, nn=0.001),
    },
    checks={"J": by("A", y=0.90, n=0.05), "M": by("A", y=0.70, n=0.01)},
)
SPRINKLER = Network(
    causes={
        "C": always(0.5),
        "S": by("C", y=0.1, n=0.5),
        "R": by("C", y=0.8, n=0.2),
    },
    checks={"W": by("S", "R", yy=0.99, yn=0.9, ny=0.9, nn=0.0)},
)
