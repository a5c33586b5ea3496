"""Telling a flash chip from a MOSFET by its joined pins and its body. PURE.

Both have eight terminals and sit near the same chips. Pins 1 to 3 joined and 5 to
8 joined is a MOSFET (19 in 20, judgement); eight separate pins in a body of
5.3 x 5.3, 6 x 5 or 8 x 6 mm near chipset or controller are a flash chip (about 9
in 10, common practice). A 5 x 6 mm MOSFET is as big as a 6 x 5 mm flash, so the
pins are asked first and decide; the body is asked only where they leave it open.
"""

from collections.abc import Iterable
from enum import StrEnum
from math import inf

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
from diagnostics.engine.reasons import Reason, reason

JOINED_BELOW = 0.5  # ohms, less the leads
SAME_SIZE = "6x5"
FLASH_BODIES = ("5.3x5.3", SAME_SIZE, "8x6")  # mm
BODIES = (*FLASH_BODIES, "4x5", "3.3x3.3", "tiny", "other")


class Chip(StrEnum):
    """What an eight-terminal part is taken for."""

    MOSFET = "mosfet"
    DUAL = "dual_mosfet"
    FLASH = "flash"
    CONTROLLER_CODE = "controller_code"
    UNCLEAR = "unclear"


def position(taken: Iterable[Taken], lead_ohms: float = 0.0) -> Position:
    """What to look at or read next, or what the part is."""
    return replay(_test(lead_ohms), taken)


def _test(leads: float) -> Procedure:
    yield Ask("power_gone", Mode.ACT)
    first = _is_joined((yield _pins("source_joined", 1, 2, 3)), leads)
    second = _is_joined((yield _pins("drain_joined", 5, 6, 7, 8)), leads)
    if first and second:
        return told(Chip.MOSFET, reason("joined_as_mosfet"))
    if first or second:
        return told(Chip.UNCLEAR, reason("joined_otherwise"), "own_map")
    lower = _is_joined((yield _pins("pair_56", 5, 6)), leads)
    upper = _is_joined((yield _pins("pair_78", 7, 8)), leads)
    if lower and upper:
        return told(Chip.DUAL, reason("joined_as_dual"))
    if lower or upper:
        return told(Chip.UNCLEAR, reason("joined_otherwise"), "own_map")
    return (yield from _by_body())


def _by_body() -> Procedure:
    """Eight separate pins: the body, and what stands near, decide."""
    body = (yield Ask("body", Mode.CHOICE, choices=BODIES)).choice
    if body == "tiny":
        return told(Chip.CONTROLLER_CODE, reason("tiny_body"), "read_marking")
    if body not in FLASH_BODIES:
        return told(Chip.UNCLEAR, reason("no_flash_body"), "read_marking")
    near = (yield Ask("near", Mode.CHOICE, choices=("yes", "no"))).choice
    if near == "no":
        return told(Chip.UNCLEAR, reason("flash_body_far"), "read_marking")
    if body == SAME_SIZE:
        return told(Chip.FLASH, reason("pins_decide"))
    return told(Chip.FLASH, reason("separate_and_flash_body"))


def _pins(step: str, first: int, *others: int) -> Ask:
    return Ask(step, Mode.OHMS, (first,), others)


def _is_joined(answer: Answer, leads: float) -> bool:
    ohms = inf if answer.value is None else answer.value - leads
    return ohms < JOINED_BELOW


def told(chip: Chip, why: Reason, *settle: str) -> Result:
    """None of this is certain: the evidence holds often, not always."""
    return Result("", chip.value, (why,), settle, chip is not Chip.UNCLEAR)
