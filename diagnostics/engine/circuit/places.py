"""Where each point of a board is read in its circuit, and how it is told. PURE."""

from collections.abc import Iterator
from dataclasses import dataclass

from diagnostics.engine.boards import Board
from diagnostics.engine.circuit.answers import RUNS, SILENT, frequency_rules
from diagnostics.engine.circuit.fitted import Wants, wants_of
from diagnostics.engine.circuit.parts import GROUND, Answer, Circuit, of_point
from diagnostics.engine.circuit.state import PRESSED
from diagnostics.engine.family import Check, Point

COLD_MODES = frozenset("RCD")
FREQUENCY = "F"


@dataclass(frozen=True)
class Place:
    """A point that is predicted: by its value, by its answers, or by both.

    ``nets`` are one, or the first of two to the second; of a current that of its
    source, or none.
    """

    check: Check
    point: Point
    nets: tuple[str, ...]
    condition: str
    is_valued: bool
    rules: tuple[Answer, ...]
    wants: Wants

    @property
    def is_cold(self) -> bool:
        return self.check.mode in COLD_MODES

    @property
    def names(self) -> tuple[str, ...]:
        """Its answers, in the check's order."""
        named = (*(self.check.categories or self.check.patterns),)
        return named or (RUNS, SILENT)


def places_of(board: Board, circuit: Circuit) -> Iterator[Place]:
    """Every fitted point of which the circuit says something."""
    pressed = {feed.pressed: feed.to for feed in circuit.feeds if feed.pressed}
    for check in board.checks.values():
        for point in board.fitted_points(check.id):
            nets, condition, is_told = _read_at(circuit, pressed, check, point)
            is_valued = _is_valued(circuit, check, point, nets, is_told)
            rules = _rules(circuit, check, point, nets)
            if is_valued or rules:
                wants = wants_of(board, circuit, check, point, nets)
                yield Place(check, point, nets, condition, is_valued, rules, wants)


def _read_at(
    circuit: Circuit, pressed: dict[str, str], check: Check, point: Point
) -> tuple[tuple[str, ...], str, bool]:
    """Nets, condition, and whether the family says that it is read there."""
    told = of_point(circuit.read_at, point.id)
    if told is not None:
        return told.nets, told.condition or check.condition, True
    net = point.rail or point.signal or ""
    if net in pressed and check.is_powered:
        return (pressed[net],), PRESSED, False
    if check.mode == "I":
        return (), check.condition, False
    return point.pair or (net,), check.condition, False


def _is_valued(
    circuit: Circuit, check: Check, point: Point, nets: tuple[str, ...], is_told: bool
) -> bool:
    is_known = {*circuit.nets, GROUND}.issuperset(nets)
    if check.categories or not is_known or (is_told and not nets):
        return False
    if check.mode == "I":
        return check.is_powered
    if check.mode == "V":
        is_across = point.pair is not None and not is_told
        return (check.is_powered or is_told) and not is_across
    return check.mode in COLD_MODES and not check.is_powered


def _rules(
    circuit: Circuit, check: Check, point: Point, nets: tuple[str, ...]
) -> tuple[Answer, ...]:
    """What its answers go by; none where the circuit says nothing of it."""
    told = of_point(circuit.answers, point.id)
    if told is not None:
        return told
    is_frequency = check.mode == FREQUENCY and not check.categories
    if is_frequency and check.is_powered and nets and nets[0] in circuit.nets:
        return frequency_rules(nets[0])
    return ()
