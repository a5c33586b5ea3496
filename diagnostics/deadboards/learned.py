"""What closed tickets of one board model teach the benchmark's player."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from diagnostics.deadboards.family import point_id
from diagnostics.deadboards.meter import OL
from diagnostics.deadboards.player import Play
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.kernels import Usual
from diagnostics.engine.learning import counts_of, learned_priors, usual_of
from diagnostics.engine.models import Model

NO_FAULT = "none"


@dataclass
class Lessons:
    """Findings and good readings of a model, as they came in; all else is reckoned
    from them."""

    model: Model
    findings: list[tuple[str, str]] = field(default_factory=list)
    goods: dict[str, list[float]] = field(default_factory=dict)

    def play(self, costs: Mapping[str, float]) -> Play:
        """A new board of the model, with what is known of the others."""
        return Play(self.model, costs, before=self.before, usual=self.usual)

    @property
    def before(self) -> Floats:
        board, faults = self.model.board, self.model.kernels.predictions.faults
        counts = counts_of(faults, self.model.before, self.findings)
        blocks = [board.parts[part].block for part, _way in faults[1:]]
        return learned_priors(self.model.before, blocks, counts)

    @property
    def usual(self) -> dict[int, Usual]:
        return usual_of(self.model.kernels, self.goods)

    def close(self, play: Play, part: str, mode: str) -> None:
        """A board turned out to have this fault: what it leaves alone reads as on a
        good board. Of a fault that the family doesn't know nothing is learned."""
        fault = ("", "") if part == NO_FAULT else (f"p.{part}", mode)
        predictions = self.model.kernels.predictions
        if fault not in predictions.faults:
            return
        self.findings.append(fault)
        touched = predictions.touched[predictions.faults.index(fault)].any(axis=1)
        for check, shown in play.readings.items():
            point = point_id(check)
            if shown != OL and not touched[self.model.kernels.place[point]]:
                self.goods.setdefault(point, []).append(float(shown))
