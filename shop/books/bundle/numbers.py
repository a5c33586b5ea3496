"""Whether a series of numbers has a gap. PURE."""

from collections.abc import Iterable
from dataclasses import dataclass, field

MOST_GAPS = 100


@dataclass
class Series:
    """The serials of a period as they pass; ``before`` is the last one ahead of it."""

    kind: str
    before: int | None
    first: int | None = None
    last: int | None = None
    count: int = 0
    gaps: list[str] = field(default_factory=list)

    def passing(self, serials: Iterable[int]) -> None:
        """Serials in order, none of them twice."""
        for serial in serials:
            expected = self._next()
            if expected is not None and serial > expected:
                end = serial - 1
                gap = f"{expected}-{end}" if end > expected else f"{expected}"
                self.gaps.append(gap)
            self.first = serial if self.first is None else self.first
            self.last = serial
            self.count += 1

    def _next(self) -> int | None:
        last = self.last if self.last is not None else self.before
        return None if last is None else last + 1

    @property
    def is_whole(self) -> bool:
        return not self.gaps
