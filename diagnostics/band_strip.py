"""Where a reading lies on its band: the geometry of the strip under a check. PURE.

The scale takes the middle; the last stretch at each end lies past a break in the
line, for readings off the scale. Resistances lie on a log scale.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import log10

from diagnostics.engine.yardsticks import Yardstick
from diagnostics.figures import show

WIDTH = 504
END = 78
# How far the scale goes past its outermost figure.
LINEAR_MARGIN = 0.5
LOG_MARGIN = 10.0


@dataclass(frozen=True)
class Post:
    """A tolerance limit."""

    x: float
    text: str
    is_lower: bool


@dataclass(frozen=True)
class Box:
    """The usual range; an open side ends at the scale's edge."""

    x: float
    width: float
    text: str
    boards: int


@dataclass(frozen=True)
class Mark:
    """The reading, in its verdict's shape; ``is_off`` past the break."""

    x: float
    word: str
    text: str
    is_off: bool


@dataclass(frozen=True)
class Strip:
    """``goods`` are where good boards of the model read."""

    posts: tuple[Post, ...]
    box: Box | None
    mark: Mark | None
    is_log: bool
    goods: tuple[float, ...] = ()
    width: int = WIDTH
    end: int = END


def strip_of(
    yardstick: Yardstick | None,
    value: float | None = None,
    word: str = "",
    *,
    goods: Sequence[float] = (),
) -> Strip | None:
    """The strip of a yardstick, with a reading on it; ``None`` without figures.

    ``goods`` are readings of good boards; those off the scale are left out.

    >>> strip = strip_of(Yardstick("V", limit_low=3.0, limit_high=4.0), 3.5, "good")
    >>> [post.x for post in strip.posts], strip.mark.x
    ([165.0, 339.0], 252.0)
    """
    figures = _figures(yardstick)
    if yardstick is None or not figures:
        return None
    is_log = yardstick.unit == "ohm" and min(figures) > 0
    place = _log_scale(figures) if is_log else _linear_scale(figures)
    return Strip(
        posts=_posts(yardstick, place),
        box=_box(yardstick, place),
        mark=None if value is None else _mark(value, yardstick.unit, word, place),
        is_log=is_log,
        goods=tuple(x for x in map(place, goods) if END <= x <= WIDTH - END),
    )


Place = Callable[[float], float]


def _figures(yardstick: Yardstick | None) -> list[float]:
    if yardstick is None:
        return []
    ends = (
        yardstick.limit_low,
        yardstick.limit_high,
        yardstick.usual_low,
        yardstick.usual_high,
    )
    return [end for end in ends if end is not None]


def _linear_scale(figures: list[float]) -> Place:
    low, high = min(figures), max(figures)
    margin = LINEAR_MARGIN * ((high - low) or abs(high) or 1.0)
    return lambda value: _x((value - low + margin) / (high - low + 2 * margin))


def _log_scale(figures: list[float]) -> Place:
    low, high = min(figures) / LOG_MARGIN, max(figures) * LOG_MARGIN
    span = log10(high / low)
    return lambda value: _x(log10(max(value, 1e-12) / low) / span)


def _x(share: float) -> float:
    return round(END + share * (WIDTH - 2 * END), 1)


def _posts(yardstick: Yardstick, place: Place) -> tuple[Post, ...]:
    ends = ((yardstick.limit_low, True), (yardstick.limit_high, False))
    return tuple(
        Post(place(end), show(end, yardstick.unit), is_lower)
        for end, is_lower in ends
        if end is not None
    )


def _box(yardstick: Yardstick, place: Place) -> Box | None:
    low, high = yardstick.usual_low, yardstick.usual_high
    if low is None and high is None:
        return None
    first = END if low is None else place(low)
    last = WIDTH - END if high is None else place(high)
    width = max(2.0, round(last - first, 1))
    text = _range(low, high, yardstick.unit)
    return Box(first, width, text, yardstick.usual_count)


def _range(low: float | None, high: float | None, unit: str) -> str:
    """A range in signs alone, which every language reads."""
    if low is None:
        return f"≤ {show(high, unit)}" if high is not None else ""
    return (
        f"≥ {show(low, unit)}"
        if high is None
        else (f"{show(low, unit)} – {show(high, unit)}")
    )


def _mark(value: float, unit: str, word: str, place: Place) -> Mark:
    x, text = place(value), show(value, unit)
    if x < END:
        return Mark(END / 2, word, text, is_off=True)
    if x > WIDTH - END:
        return Mark(WIDTH - END / 2, word, text, is_off=True)
    return Mark(x, word, text, is_off=False)
