"""Playing a guided test: answers by step, typed as at the bench."""

from collections.abc import Callable, Iterable, Mapping

from diagnostics.engine import mosfet
from diagnostics.engine.guided import Ask, Mode, Position, Result, Taken, answer_of
from diagnostics.engine.packages import Channel, Outline, Seat, Setup

LIFTED = Setup(Outline.EIGHT, Channel.N, is_lifted=True)
IN_CIRCUIT = Setup(Outline.EIGHT, Channel.N, is_lifted=False)
GATE_STEPS = ("gate_source", "gate_source_back", "gate_drain", "gate_drain_back")
OPEN_GATE = dict.fromkeys(GATE_STEPS, "OL")
FREE_GATE = dict.fromkeys(GATE_STEPS, "22k")
JOINED = {"source_joined": "0.1", "drain_joined": "0.1"}

PositionOf = Callable[[Iterable[Taken]], Position]


def play(where: PositionOf, typed: Mapping[str, str]) -> tuple[Result, list[str]]:
    """The result, and the steps that were asked; an act asked for is done.

    A step that is asked and not among ``typed`` fails by its name.
    """
    taken: list[Taken] = []
    while True:
        position = where(taken)
        if position.result is not None:
            return position.result, [one.step for one in taken]
        assert position.next is not None
        taken.append(taken_as(position.next, typed))


def taken_as(ask: Ask, typed: Mapping[str, str]) -> Taken:
    said = "done" if ask.mode is Mode.ACT else typed[ask.step]
    return Taken(ask.step, answer_of(ask, said))


def result_of(setup: Setup, **typed: str) -> Result:
    """A MOSFET test with joined pins, played to its end."""
    result, _asked = play(lambda taken: mosfet.position(setup, taken), JOINED | typed)
    return result


def asked(setup: Setup, **typed: str) -> list[str]:
    _result, steps = play(lambda taken: mosfet.position(setup, taken), JOINED | typed)
    return steps


def in_seat(seat: Seat, channel: Channel = Channel.N) -> Setup:
    return Setup(Outline.EIGHT, channel, is_lifted=False, seat=seat)
