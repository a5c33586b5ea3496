"""All that speaks of a board's fault, as plain values. PURE."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from diagnostics.engine.assessment import Key
from diagnostics.engine.quantities import Outcome


@dataclass(frozen=True)
class Seen:
    """A standing reading; ``value`` SI, net of the leads where these are known.

    ``answer`` is what was seen at a check of categories; ``is_told`` marks another
    repairer's reading; ``word`` is its verdict's. ``fitted`` was in the board.
    """

    point_id: str
    word: str
    outcome: Outcome
    value: float | None = None
    epoch: int = 0
    condition: str = ""
    fitted: frozenset[str] = frozenset()
    answer: str = ""
    is_net: bool = True
    is_told: bool = False
    is_turned: bool = False


@dataclass(frozen=True)
class Done:
    """An intervention: it began ``epoch``; ``part_id`` is "" where none is named."""

    epoch: int
    part_id: str = ""
    kind: str = "replaced"


@dataclass(frozen=True)
class Sight:
    """What is seen at a part, or at a rail where no part is named."""

    kind: str
    part_id: str = ""
    rail: str = ""


@dataclass(frozen=True)
class Evidence:
    """All that is known of a board: standing readings, oldest first, and acts.

    ``struck`` and ``added`` are ways of failing that the technician ruled out, or
    holds likely.
    """

    seen: tuple[Seen, ...] = ()
    done: tuple[Done, ...] = ()
    sights: tuple[Sight, ...] = ()
    struck: frozenset[Key] = frozenset()
    added: frozenset[Key] = frozenset()


@dataclass(frozen=True)
class Situation:
    """What may be measured now.

    ``held`` are checks held off, with the check that would free each ("" for none);
    ``passed_by`` are points that need no reading: read and still good, can't be
    reached, or not fitted.
    """

    condition: str = "U"
    held: Mapping[str, str] = field(default_factory=dict)
    passed_by: frozenset[str] = frozenset()
