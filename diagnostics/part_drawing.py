"""A package from above, with its pins and the two probes, as plain coordinates."""

from dataclasses import dataclass

from diagnostics.engine.guided import Ask, Mode
from diagnostics.engine.packages import Outline, Pins

TOP, STEP = 54, 44
LEFT, RIGHT = 124, 236  # the body's edges
LEG = 22
REACH = 62  # from a leg's end to its probe


@dataclass(frozen=True)
class Pin:
    number: int
    y: int
    is_left: bool
    letter: str

    @property
    def edge(self) -> int:
        return LEFT if self.is_left else RIGHT

    @property
    def end(self) -> int:
        return self.edge - LEG if self.is_left else self.edge + LEG

    @property
    def text_x(self) -> int:
        return self.edge + 8 if self.is_left else self.edge - 8


@dataclass(frozen=True)
class Probe:
    """A probe's head, and the leg's end that it touches."""

    letter: str
    x: int
    y: int
    tip: int


@dataclass(frozen=True)
class Drawing:
    pins: tuple[Pin, ...]
    probes: tuple[Probe, ...]
    bridge: str
    height: int
    has_dot: bool


def drawing_of(
    outline: Outline, known: Pins | None, ask: Ask | None = None
) -> Drawing | None:
    """The package; with the probes of an ask, or nothing where it has none."""
    if ask is not None and not ask.red:
        return None
    pins = three(known) if outline is Outline.THREE else eight(known)
    by_number = {pin.number: pin for pin in pins}
    probes: tuple[Probe, ...] = ()
    joined = ""
    if ask is not None:
        red, black = by_number[ask.red[0]], by_number[nearest(ask)]
        is_joined = ask.mode is Mode.ACT and ask.step.startswith("discharge")
        joined = arc(red, black) if is_joined else ""
        probes = () if is_joined else (probe("R", red), probe("B", black))
    height = max(pin.y for pin in pins) + 34
    return Drawing(pins, probes, joined, height, outline is not Outline.THREE)


def nearest(ask: Ask) -> int:
    """Of joined pins any will do; the last one shows that they are far apart."""
    return ask.black[-1] if ask.step.endswith("_joined") else ask.black[0]


def eight(known: Pins | None) -> tuple[Pin, ...]:
    """Anticlockwise from the dot: 1 to 4 down the left, 5 to 8 up the right."""
    left = [Pin(n, TOP + STEP * (n - 1), True, letter(n, known)) for n in range(1, 5)]
    right = [Pin(n, TOP + STEP * (8 - n), False, letter(n, known)) for n in range(5, 9)]
    return (*left, *right)


def three(known: Pins | None) -> tuple[Pin, ...]:
    """The two pins of one side, and the lone one."""
    return (
        Pin(1, TOP, True, letter(1, known)),
        Pin(2, TOP + 2 * STEP, True, letter(2, known)),
        Pin(3, TOP + STEP, False, letter(3, known)),
    )


def letter(number: int, known: Pins | None) -> str:
    """G, S or D; nothing for a pin of another die or of no known role."""
    if known is None:
        return ""
    roles = (("G", known.gate), ("S", known.source), ("D", known.drain))
    return next((name for name, pins in roles if number in pins), "")


def probe(name: str, pin: Pin) -> Probe:
    x = pin.end - REACH if pin.is_left else pin.end + REACH
    return Probe(name, x, pin.y, pin.end)


def arc(first: Pin, second: Pin) -> str:
    """Tweezers over two legs: beside the part on one side, else across it."""
    if first.is_left is not second.is_left:
        return f"M{first.end} {first.y}L{second.end} {second.y}"
    out = first.end - 34 if first.is_left else first.end + 34
    return f"M{first.end} {first.y}H{out}V{second.y}H{second.end}"
