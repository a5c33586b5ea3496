"""How a picture's own words and figures are written. PURE."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class Says:
    """In the reader's language: ``figure`` takes a value and how many decimals."""

    figure: Callable[[float, int], str]
    turns: Mapping[str, str]
    few: str  # what stands where there is no value yet

    def tick(self, value: float) -> str:
        """As few decimals as the value needs."""
        return self.figure(value, 0 if value == round(value) else 1)

    def value(self, value: float, widest: float) -> str:
        """One decimal on scales up to 30, none on larger ones."""
        return self.figure(value, 1 if widest <= 30 else 0)


def many(n: int) -> str:
    """From how many it was reckoned: a symbol, the same in every language."""
    return f"n {n}"
