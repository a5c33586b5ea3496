"""How a MOSFET test ends: the table's words, and results made of them. PURE."""

from enum import StrEnum

from diagnostics.engine.errors import Value
from diagnostics.engine.guided import Result
from diagnostics.engine.reasons import Reason, reason

# What would settle an unclear or likely result.
SETTLES = (
    "check_pins",
    "compare_phases",
    "compare_same_part",
    "five_volts",
    "four_wire_core",
    "lift_part",
    "measure_across",
    "name_channel",
    "no_fingers",
    "no_power",
    "reach_pin",
    "read_again",
)


class Found(StrEnum):
    """The word of a result; the last two are no verdict on the part."""

    GOOD = "good"
    BAD = "bad"
    UNCLEAR = "unclear"
    NO_EVIDENCE = "no_evidence"
    REDO = "redo"


def row(
    name: str, word: Found, why: Reason, *settle: str, is_likely: bool = False
) -> Result:
    """A row of the table."""
    return Result(name, word.value, (why,), settle, is_likely)


def none_fits(code: str, *settle: str, **values: Value) -> Result:
    """No row of the table names these readings: unclear, with why."""
    return Result("", Found.UNCLEAR.value, (reason(code, **values),), settle)
