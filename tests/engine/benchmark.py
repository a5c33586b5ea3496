"""Boards of the benchmark of dead boards, as they were recorded.

The readings in tests/data/deadboards/ come from a general circuit simulator, not
from rules about faults. Its README says how they were read: 6000 counts,
+-(0.5 % + 2 counts), leads of 0.1 to 0.3 ohm, OL above 2 V in diode mode.
"""

import csv
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

DATA = Path(__file__).parents[1] / "data" / "deadboards"


@dataclass(frozen=True)
class Recorded:
    """One board as recorded: the part and mode that failed, and every reading."""

    id: str
    part: str
    mode: str
    readings: dict[str, str]

    @property
    def is_healthy(self) -> bool:
        return self.part == "none"


def recorded(family: str) -> Iterator[Recorded]:
    with (DATA / f"{family}.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            yield Recorded(row.pop("id"), row.pop("part"), row.pop("mode"), row)


def table(name: str) -> list[dict[str, str]]:
    """The benchmark's own list of its checks, or of its ways to fail."""
    with (DATA / f"{name}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))
