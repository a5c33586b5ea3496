"""The MOSFET test: which reading comes next, and what they come to. PURE.

Common practice of the bench, by a table of fourteen rows (m1 to m14). The steps
of a P-channel part are those of an N-channel part with red and black swapped, so
everything here is written for N. ``forward`` is the way in which the body diode
conducts, ``reverse`` the way in which a switched-off part blocks.

In circuit nothing but m12 and m13 is ever called bad, and those only likely so:
what hangs on the pins reads too. What no row of the table names stays unclear.

>>> setup = Setup(Outline.EIGHT, Channel.N, is_lifted=True)
>>> next_step(setup, ()).step
'source_joined'
"""

from collections.abc import Generator, Iterable
from dataclasses import replace

from diagnostics.engine.guided import (
    Answer,
    Ask,
    Mode,
    Position,
    Procedure,
    Result,
    Taken,
    replay,
)
from diagnostics.engine.mosfet_hand import Across, Hand, Pair, both_ways, net
from diagnostics.engine.mosfet_in_circuit import in_circuit
from diagnostics.engine.mosfet_lifted import lifted
from diagnostics.engine.mosfet_rows import Found, row
from diagnostics.engine.packages import Channel, Outline, Seat, Setup
from diagnostics.engine.reasons import reason

__all__ = [
    "STEPS_AT_MOST",
    "Channel",
    "Found",
    "Outline",
    "Seat",
    "Setup",
    "next_step",
    "outcome",
    "position",
]

STEPS_AT_MOST = 18
JOINED_BELOW = 0.5  # ohms, less the leads


def position(setup: Setup, taken: Iterable[Taken]) -> Position:
    """Every step asked so far with its answer, and the next one or the result."""
    return replay(_test(setup), taken)


def next_step(setup: Setup, taken: Iterable[Taken]) -> Ask | None:
    """What to do or read next; ``None`` once nothing can change the result."""
    return position(setup, taken).next


def outcome(setup: Setup, taken: Iterable[Taken]) -> Result | None:
    """The row that the readings come to; ``None`` while a reading is still asked."""
    return position(setup, taken).result


def _test(setup: Setup) -> Procedure:
    if not setup.is_lifted:
        yield Ask("power_gone", Mode.ACT)
    apart = yield from _joined(setup)
    if apart is not None:
        return apart
    hand = Hand(setup, setup.channel)
    yield hand.discharge("discharge")
    pair = yield from both_ways(hand)
    if setup.channel is not Channel.UNKNOWN and _is_swapped(pair):
        return row("m14", Found.REDO, reason("reads_only_swapped"), "check_pins")
    hand = replace(hand, channel=pair.channel)
    if setup.is_lifted:
        return (yield from lifted(hand, pair))
    return (yield from in_circuit(hand, pair))


def _joined(setup: Setup) -> Generator[Ask, Answer, Result | None]:
    """Source pins joined, drain pins joined: else this is another part."""
    for name in ("source", "drain"):
        pins = getattr(setup.pins, name)
        if setup.outline is Outline.THREE or len(pins) < 2:
            continue
        answer = yield Ask(f"{name}_joined", Mode.OHMS, pins[:1], pins[1:])
        ohms = net(answer, setup)
        if ohms >= JOINED_BELOW:
            why = reason("not_joined", ohms=ohms, first=pins[0], last=max(pins))
            return row("m14", Found.REDO, why, "check_pins")
    return None


def _is_swapped(pair: Pair) -> bool:
    return pair.forward is Across.OPEN and pair.reverse is Across.DIODE
