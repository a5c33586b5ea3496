"""What every check should read, for every fault, on a cloud of virtual boards. PURE.

Readings of one board are not independent given the fault: one board shares its
design, its junctions and its meter. So each fault has a sample for every virtual
board, and all readings of a board are weighed together (``weigh``).

Made once for a board and kept: seconds. Arrays run (faults, points, boards), SI,
``nan`` for OL; ``NO_FAULT`` comes first. A point that reads otherwise with something
in the board has further columns, named "k17/cpu.core+cpu"; ``column`` finds the one
that a reading belongs to.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from diagnostics.engine.boards import Board
from diagnostics.engine.circuit import answers, cold, powered
from diagnostics.engine.circuit.answers import Chances
from diagnostics.engine.circuit.cloud import BOARDS, SEED, Cloud
from diagnostics.engine.circuit.cold import Probe
from diagnostics.engine.circuit.fitted import NOTHING, Wants, contexts
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.of_board import circuit_of, faults_of, whole_circuit
from diagnostics.engine.circuit.parts import GROUND, Fault
from diagnostics.engine.circuit.places import Place, places_of
from diagnostics.engine.verdicts import RED_ON_GROUND

__all__ = ["Predictions", "faults_of", "point_of", "predict"]

# A fault changes a reading when it moves it by more than these, or by 2 %.
MOVES = {"R": 0.05, "C": 0.05, "D": 0.01, "V": 0.02, "I": 0.004}
MOVES_SHARE = 0.02
BLURS = 0.05
WITH = "+"
# Continuity stays in the lowest range of ohms: beyond it shows OL (common practice).
CONTINUITY, CONTINUITY_OHMS = "C", 600.0


@dataclass(frozen=True)
class Predictions:
    """Means, own blur and what each fault touches, point by point.

    ``touched`` (faults, points, boards): where the reading differs from that of the
    same board without the fault. ``answers`` are those of points that are answered
    in words, or by whether something runs, by point.
    """

    faults: tuple[Fault, ...]
    points: tuple[str, ...]
    modes: tuple[str, ...]
    means: Floats
    blurs: Floats
    touched: np.typing.NDArray[np.bool_]
    answers: Mapping[str, Chances] = field(default_factory=dict)
    wants: Mapping[str, Wants] = field(default_factory=dict)

    def column(self, point: str, fitted: Collection[str] = ()) -> int | None:
        """The column of a reading taken with this in the board.

        ``None`` where it is no evidence: it isn't predicted, or not with that.
        """
        context = self.wants[point].context(fitted) if point in self.wants else None
        if context is None:
            return None
        label = _label(point, context)
        return self.points.index(label) if label in self.points else None

    def chances(self, point: str, fitted: Collection[str] = ()) -> Chances | None:
        """The chances of a point's answers; ``None`` where they are no evidence."""
        is_told = point in self.answers
        if not is_told or self.wants[point].context(fitted) is None:
            return None
        return self.answers[point]


def point_of(column: str) -> str:
    """The point of a column.

    >>> point_of("k17/cpu.core+cpu")
    'k17/cpu.core'
    """
    return column.partition(WITH)[0]


def _label(point: str, context: frozenset[str]) -> str:
    return WITH.join((point, *sorted(context)))


@dataclass(frozen=True)
class Column:
    """One column: a place, and what is in the board there."""

    place: Place
    fitted: frozenset[str]

    @property
    def label(self) -> str:
        return _label(self.place.point.id, self.fitted)


def predict(
    board: Board, boards: int = BOARDS, seed: int = SEED, *, is_even: bool = False
) -> Predictions:
    """The predictions of a board whose family has a circuit.

    ``is_even``: faults that change the same read the very same (see ``Cloud``).
    Raises ``ValueError`` for a family without one.
    """
    whole, circuit = whole_circuit(board), circuit_of(board)
    cloud = Cloud(whole, boards, seed, is_even=is_even).only(circuit)
    faults = faults_of(board, circuit)
    places = list(places_of(board, circuit))
    columns = _columns([place for place in places if place.is_valued])
    shape = (len(faults), len(columns), boards)
    means, blurs = np.zeros(shape), np.zeros(shape)
    _put_cold(cloud, faults, columns, means)
    answered = [place for place in places if place.rules]
    told = {
        place.point.id: np.zeros((len(faults), len(place.names), boards))
        for place in answered
    }
    conditions = {place.condition for place in places}
    alike = {one: powered.likeness(circuit, one) for one in conditions}
    for row, fault in enumerate(faults):
        states = States(cloud, fault, alike)
        _put_powered(states, columns, (means[row], blurs[row]))
        for place in answered:
            state = states.of(place.condition)
            shares = answers.chances(state, place.rules, place.names)
            told[place.point.id][row] = shares
    modes = tuple(column.place.check.mode for column in columns)
    return Predictions(
        faults,
        tuple(column.label for column in columns),
        modes,
        means,
        blurs,
        _touched(means, blurs, modes),
        {p.point.id: Chances(p.names, told[p.point.id]) for p in answered},
        {place.point.id: place.wants for place in places},
    )


def _columns(places: Sequence[Place]) -> list[Column]:
    """The plain ones in the order of their points, then those with something in."""
    plain = [Column(place, NOTHING) for place in places]
    more = [
        Column(place, context)
        for place in places
        for context in contexts(place.wants)
        if context
    ]
    return [*plain, *more]


# --- cold -----------------------------------------------------------------------


def _put_cold(
    cloud: Cloud, faults: Sequence[Fault], columns: Sequence[Column], means: Floats
) -> None:
    probes = {
        number: _probe(column)
        for number, column in enumerate(columns)
        if column.place.is_cold
    }
    found = cold.readings(cloud, [*probes.values()], faults)
    for place, number in enumerate(probes):
        is_beeper = columns[number].place.check.mode == CONTINUITY
        is_open = is_beeper & (found[place] > CONTINUITY_OHMS)
        means[:, number] = np.where(is_open, np.nan, found[place])


def _probe(column: Column) -> Probe:
    place = column.place
    mode = "D" if place.check.mode == "D" else "R"
    red, black = (*place.nets, GROUND)[:2]
    if len(place.nets) == 1 and place.point.polarity == RED_ON_GROUND:
        red, black = black, red
    return Probe(mode, red, black, place.check.opens, column.fitted)


# --- powered --------------------------------------------------------------------


class States:
    """The states of all boards with one fault, made when they are asked for."""

    def __init__(self, cloud: Cloud, fault: Fault, alike: Mapping[str, object]) -> None:
        self.cloud, self.fault, self.alike = cloud, fault, alike
        self._made: dict[object, powered.Powered] = {}

    def of(self, condition: str) -> powered.Powered:
        like = self.alike[condition]
        if like not in self._made:
            self._made[like] = powered.Powered(self.cloud, self.fault, condition)
        return self._made[like]


def _put_powered(
    states: States, columns: Sequence[Column], into: tuple[Floats, Floats]
) -> None:
    """Means and blurs (points, boards) of one fault."""
    means, blurs = into
    for number, column in enumerate(columns):
        place = column.place
        if place.is_cold:
            continue
        state = states.of(place.condition)
        if place.check.mode == "I":
            means[number], blurs[number] = powered.supply_amps(state, *place.nets)
        else:
            means[number], blurs[number] = _volts(state, place.nets)


def _volts(state: powered.Powered, nets: tuple[str, ...]) -> tuple[Floats, Floats]:
    """Of a net to ground, or of the first of two to the second."""
    volts, blur = state.volts[nets[0]], state.blur[nets[0]]
    for other in nets[1:]:
        volts, blur = volts - state.volts[other], np.hypot(blur, state.blur[other])
    return volts, blur


# --- what a fault touches ---------------------------------------------------------


def _touched(
    means: Floats, blurs: Floats, modes: Sequence[str]
) -> np.typing.NDArray[np.bool_]:
    good, steady = means[:1], blurs[:1]
    is_open, was_open = np.isnan(means), np.isnan(good)
    moved = np.abs(means - good)
    least = np.array([MOVES[mode] for mode in modes])[None, :, None]
    differs = (moved > least) & (moved > MOVES_SHARE * np.abs(good))
    found: np.typing.NDArray[np.bool_] = np.where(
        is_open | was_open, is_open != was_open, differs
    ) | (np.abs(blurs - steady) > BLURS)
    found[0] = False
    return found
