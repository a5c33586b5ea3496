"""What the engine says of a board: suspects, what to measure next, when to stop. PURE.

Plain values that pages and papers show; ``assess`` makes them. Probabilities of
suspects, no fault and something else add up to 1.
"""

from dataclasses import dataclass

from diagnostics.engine.reasons import Reason

Key = tuple[str, str]
"""A part and its way of failing."""


@dataclass(frozen=True)
class Suspect:
    """A part and its way of failing; ``place`` is the net where it most likely is.

    ``speaks_for`` and ``against`` are readings, the most telling first. ``alike``
    are other parts that no open check tells from this one.
    """

    part_id: str
    mode_id: str
    place: str
    probability: float
    speaks_for: tuple[Reason, ...] = ()
    against: tuple[Reason, ...] = ()
    alike: tuple[str, ...] = ()

    @property
    def key(self) -> Key:
        return self.part_id, self.mode_id


@dataclass(frozen=True)
class Offer:
    """A check that may be done now, what it is expected to tell, and what it costs.

    ``nats`` is expected information; ``minutes`` hold the change of condition.
    ``why`` is one sentence: what the check would tell apart, or which powered check
    it is the gate of.
    """

    point_id: str
    check_id: str
    nats: float
    minutes: float
    changes_condition: bool
    why: Reason


@dataclass(frozen=True)
class Disagreement:
    """Readings that no single fault explains together; ``points`` name them."""

    points: tuple[str, ...]
    why: Reason


@dataclass(frozen=True)
class Learned:
    """How much of the prior is the family's judgement and how much this shop's.

    ``findings`` proven on this board model, ``boards`` good ones of it that were
    read; ``shop_share`` is the share of the weight that is the shop's, 0 to 1.
    """

    findings: int = 0
    boards: int = 0
    shop_share: float = 0.0


@dataclass(frozen=True)
class Assessment:
    """All of it, as of the readings so far.

    ``offers`` are ranked, the best for a minute first; ``stop`` says why no offer is
    worth its minutes any more, or is ``None`` while one is. ``confirm`` is the check
    that proves the first suspect before the iron. ``confidence`` is the probability
    that the first suspect, or a part that no open check tells from it, is right.
    """

    suspects: tuple[Suspect, ...]
    no_fault: float
    something_else: float
    confidence: float
    offers: tuple[Offer, ...]
    stop: Reason | None
    confirm: Offer | None
    disagreements: tuple[Disagreement, ...]
    measured: int
    not_looked_at: tuple[str, ...]
    learned: Learned = Learned()

    @property
    def next_best(self) -> Offer | None:
        return self.offers[0] if self.offers and self.stop is None else None

    @property
    def is_healthy(self) -> bool:
        """Whether something was measured, and no fault is the likeliest of all."""
        first = max((one.probability for one in self.suspects[:2]), default=0.0)
        return self.measured > 0 and self.no_fault > max(first, self.something_else)
