"""A drawn pattern as a drawing: dots 1 to 9 in three rows, joined in order."""

from dataclasses import dataclass

STEP, EDGE = 40, 24


@dataclass(frozen=True)
class Dot:
    number: str
    x: int
    y: int
    is_first: bool = False


@dataclass(frozen=True)
class Drawing:
    """``line`` is the path through the dots, as SVG's ``points``."""

    dots: list[Dot]
    line: str = ""


def drawing(pattern: str = "") -> Drawing:
    """
    >>> drawing("2589").line
    '64,24 64,64 64,104 104,104'
    """
    at = {str(n + 1): (EDGE + STEP * (n % 3), EDGE + STEP * (n // 3)) for n in range(9)}
    dots = [Dot(n, x, y, is_first=pattern[:1] == n) for n, (x, y) in at.items()]
    return Drawing(dots, " ".join("{},{}".format(*at[n]) for n in pattern))
