"""A file of the benchmark played, with the figures of its README."""

import json
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from diagnostics.deadboards.learned import Lessons
from diagnostics.deadboards.player import Play, model_of
from diagnostics.deadboards.walk import walk
from diagnostics.engine.models import Model

Case = Mapping[str, Any]
FAMILIES = ("laptop-barrel", "laptop-usbc")
SURE = 0.9
TENS = ("boards 1-10", "boards 11-20", "boards 21 on")
GATES = ("adapter_jack.ohms.unpowered", "main_rail.ohms.unpowered")


@dataclass(frozen=True)
class Facts:
    """The benchmark's own facts: costs by family, and what a meter can't tell apart."""

    costs: Mapping[str, Mapping[str, float]]
    alike: Sequence[frozenset[tuple[str, str]]]

    def right_parts(self, fault: tuple[str, str]) -> set[str]:
        """The part at fault and those that a meter cannot tell from it."""
        sets = [one for one in self.alike if fault in one]
        return {fault[0], *(part for one in sets for part, _mode in one)}


def facts_in(folder: Path) -> Facts:
    board = json.loads((folder / "board.json").read_text(encoding="utf-8"))
    costs = json.loads((folder / "costs.json").read_text(encoding="utf-8"))
    checks = board["checkpoints"]
    return Facts(
        {
            family: {
                check: float(costs[check])
                for check, about in checks.items()
                if family in about["families"]
            }
            for family in FAMILIES
        },
        [frozenset((p, m) for p, m in one) for one in board["same_by_meter"]],
    )


def cases_in(file: Path) -> list[Case]:
    with file.open(encoding="utf-8") as lines:
        return [json.loads(line) for line in lines]


@dataclass
class Score:
    """Figures over the boards played."""

    boards: int = 0
    first: int = 0
    among_three: int = 0
    first_by_set: int = 0
    among_three_by_set: int = 0
    minutes: float = 0.0
    checks: int = 0
    healthy: int = 0
    healthy_right: int = 0
    unsafe: int = 0
    sure: int = 0
    sure_wrong: int = 0
    squares: float = 0.0
    wrong: list[str] = field(default_factory=list)

    def count(
        self,
        case: Case,
        facts: Facts,
        named: Sequence[str],
        asked: Sequence[str],
        sure: float = 0.0,
    ) -> None:
        fault = (case["true_fault"]["part"], case["true_fault"]["mode"])
        right, first = facts.right_parts(fault), named[:1]
        costs = facts.costs[case["family"]]
        is_right = bool(set(first) & right)
        self.boards += 1
        self.first += fault[0] in first
        self.among_three += fault[0] in named[:3]
        self.first_by_set += is_right
        self.among_three_by_set += bool(set(named[:3]) & right)
        self.minutes += sum(costs[check] for check in asked)
        self.checks += len(asked)
        self.healthy += fault[0] == "none"
        self.healthy_right += fault[0] == "none" and is_right
        self.unsafe += powered_too_early(asked)
        self.sure += sure > SURE
        self.sure_wrong += sure > SURE and not is_right
        self.squares += (sure - is_right) ** 2
        if not is_right:
            self.wrong.append(f"{case['id']}: {' '.join(fault)}, named {named[:3]}")

    def line(self, name: str) -> str:
        count = max(1, self.boards)
        return (
            f"{name:12s} boards {self.boards}  top-1 {self.first / count:.3f}"
            f"  top-3 {self.among_three / count:.3f}"
            f"  by set {self.first_by_set / count:.3f}"
            f" {self.among_three_by_set / count:.3f}"
            f"  minutes {self.minutes / count:.1f}  checks {self.checks / count:.1f}"
            f"  healthy {self.healthy_right} of {self.healthy}"
            f"  unsafe {self.unsafe}"
            f"  wrong above {SURE} {self.sure_wrong} of {self.sure}"
            f"  Brier {self.squares / count:.3f}"
        )


def powered_too_early(asked: Sequence[str]) -> bool:
    """Whether power was asked for before both gates were read."""
    for place, check in enumerate(asked):
        is_powered = ".volts." in check or check.startswith("supply_current")
        if is_powered and not set(GATES) <= set(asked[:place]):
            return True
    return False


def models_for(facts: Facts) -> dict[str, Model]:
    return {family: model_of(family, facts.costs[family]) for family in FAMILIES}


def play_all(
    cases: Iterable[Case],
    facts: Facts,
    models: Mapping[str, Model],
    *,
    weight: float = 1.0,
    is_greedy: bool = False,
) -> Score:
    """Every board by the engine."""
    score = Score()
    for case in cases:
        family = case["family"]
        costs = facts.costs[family]
        play = Play(models[family], costs, weight, is_greedy)
        score.count(case, facts, *_played(play, case))
    return score


def learn_all(
    cases: Iterable[Case], facts: Facts, models: Mapping[str, Model]
) -> dict[str, Score]:
    """Every board in its order, learning from those of its model that were closed
    before; by how many these were."""
    scores = {tens: Score() for tens in TENS}
    lessons: dict[str, Lessons] = {}
    seen: Counter[str] = Counter()
    for case in cases:
        family, model = case["family"], case["board_model"]
        mine = lessons.setdefault(model, Lessons(models[family]))
        play = mine.play(facts.costs[family])
        score = scores[TENS[min(seen[model] // 10, len(TENS) - 1)]]
        score.count(case, facts, *_played(play, case))
        mine.close(play, **case["true_fault"])
        seen[model] += 1
    return scores


def _played(play: Play, case: Case) -> tuple[list[str], list[str], float]:
    """A board played to its end: the names, what was asked, how sure the first is."""
    while (check := play.next_ask()) is not None:
        play.take(check, case["readings"][check]["value"])
    named, sure = play.answer()
    return named, play.asked, sure


def walk_all(cases: Iterable[Case], facts: Facts, models: Mapping[str, Model]) -> Score:
    """Every board by the fixed walk, in the same run."""
    score = Score()
    for case in cases:
        named, asked = walk(models[case["family"]].board, _reader(case))
        score.count(case, facts, named, asked)
    return score


def _reader(case: Case) -> Callable[[str], float | str]:
    def read(check: str) -> float | str:
        shown: float | str = case["readings"][check]["value"]
        return shown

    return read
