"""The figures of the circuit finder, each with its basis. PURE.

``cp`` is common practice in the trade, ``jd`` judgement: an honest starting value.
Lengths are in diagonals of the board, inductances in microhenries.
"""

from dataclasses import dataclass
from enum import StrEnum


class Side(StrEnum):
    """Which side of the board a mark is on."""

    TOP = "top"
    BOTTOM = "bottom"


class Landmark(StrEnum):
    """What is marked because it says what is near it."""

    JACK = "jack"
    PACK = "pack"
    USB_C = "usb_c"
    CONTROLLER = "controller"
    MEMORY = "memory"
    CHIPSET = "chipset"
    CPU = "cpu"
    GRAPHICS = "graphics"


class Circuit(StrEnum):
    """What a group of inductors may serve."""

    CHARGE = "charge"
    STANDBY = "standby"
    MEMORY = "memory"
    CHIPSET = "chipset"
    CPU = "cpu"
    GRAPHICS = "graphics"
    UNKNOWN = "unknown"


CIRCUITS = tuple(one for one in Circuit if one is not Circuit.UNKNOWN)

# The CPU has its core and its side rails, graphics its core and its memory.
SEVERAL = frozenset({Circuit.CPU, Circuit.GRAPHICS})

# Basis jd, all of them.
NEIGHBOURS = 0.10  # inductors alike and no farther apart are one group
REACH = 0.15  # nearness is exp(-(distance / REACH) ** 2)
THROUGH_THE_BOARD = 0.8  # what nearness keeps where the landmark is on the other side
NAMED_FROM = 0.55  # a circuit is named from this share on,
LEAD_FROM = 0.25  # and this far ahead of the next
UNKNOWN_SCORE = 1.0
IN_BAND, OUT_OF_BAND = 0.7, -0.7

# How much nearness to a landmark speaks for a circuit (jd).
WEIGHTS: dict[Circuit, dict[Landmark, float]] = {
    Circuit.CHARGE: {Landmark.JACK: 1.6, Landmark.PACK: 1.6, Landmark.USB_C: 0.8},
    Circuit.STANDBY: {Landmark.CONTROLLER: 0.7},
    Circuit.MEMORY: {Landmark.MEMORY: 2.2},
    Circuit.CHIPSET: {Landmark.CHIPSET: 2.2},
    Circuit.CPU: {Landmark.CPU: 2.0},
    Circuit.GRAPHICS: {Landmark.GRAPHICS: 2.4},
}

# Terms for one, two, three or more inductors in a group (jd).
COUNT_TERMS: dict[Circuit, tuple[float, float, float]] = {
    Circuit.CHARGE: (0.5, -0.8, -0.8),
    Circuit.STANDBY: (-0.8, 1.6, -1.2),
    Circuit.MEMORY: (0.5, -0.3, -1.0),
    Circuit.CHIPSET: (0.5, -0.3, -1.0),
    Circuit.CPU: (-1.0, 0.8, 1.4),
    Circuit.GRAPHICS: (0.0, 0.6, 0.8),
}

# Terms for size classes 1 to 4: under 4 mm, 4 to 7, 7 to 10, over 10 (jd).
SIZE_TERMS: dict[Circuit, tuple[float, float, float, float]] = {
    Circuit.CHARGE: (-0.5, 0.4, 0.4, 0.0),
    Circuit.STANDBY: (-0.3, 0.5, 0.2, -0.6),
    Circuit.MEMORY: (0.0, 0.4, 0.1, -0.5),
    Circuit.CHIPSET: (0.0, 0.4, 0.1, -0.5),
    Circuit.CPU: (-1.0, 0.0, 0.8, 0.8),
    Circuit.GRAPHICS: (-0.8, 0.0, 0.6, 0.8),
}
SIZES = range(1, 5)

# Relation e10 (cp, holds about 7 in 10): inductance by circuit, the CPU's side rails
# with the CPU.
BANDS: dict[Circuit, tuple[tuple[float, float], ...]] = {
    Circuit.CHARGE: ((2.2, 10.0),),
    Circuit.STANDBY: ((2.2, 4.7),),
    Circuit.MEMORY: ((0.47, 1.0),),
    Circuit.CHIPSET: ((0.47, 1.0), (1.0, 2.2)),
    Circuit.CPU: ((0.15, 0.36), (1.0, 2.2)),
    Circuit.GRAPHICS: ((0.15, 0.36),),
}

# Relation e11 (cp, holds about 8 in 10): ohms to ground, all on one meter, from the
# lowest up. CPU and graphics cores may read alike, so they stand on one rung.
OHMS_RANK: dict[Circuit, int] = {
    Circuit.CPU: 0,
    Circuit.GRAPHICS: 0,
    Circuit.CHIPSET: 1,
    Circuit.MEMORY: 2,
    Circuit.STANDBY: 3,
    Circuit.CHARGE: 4,
}

# The rails of each circuit by the ids of the families; the first is the one that the
# rank speaks of.
RAILS: dict[Circuit, tuple[str, ...]] = {
    Circuit.CHARGE: ("main", "chg.sw", "batt"),
    Circuit.STANDBY: ("sb.33", "sb.5", "sb.18"),
    Circuit.MEMORY: ("mem.q", "mem.q2"),
    Circuit.CHIPSET: ("cs.core",),
    Circuit.CPU: ("cpu.core", "cpu.aux"),
    Circuit.GRAPHICS: ("gfx.core", "gfx.mem", "gfx.io"),
}


@dataclass(frozen=True)
class Relation:
    """A rule of thumb: how often it holds, by what basis, and where it does not."""

    id: str
    holds: str
    basis: str
    exception: str


# Relations e1 to e9 of circuits; texts are message ids.
RELATIONS: dict[Circuit, Relation] = {
    Circuit.CHARGE: Relation(
        "e1",
        "about 9 in 10",
        "cp",
        "With the power jack on a cable, or two USB-C ports, look by the pack "
        "connector.",
    ),
    Circuit.STANDBY: Relation(
        "e2",
        "about 8 in 10",
        "cp",
        "Newer boards use two separate small converters; two equal inductors by the "
        "CPU are phases.",
    ),
    Circuit.CHIPSET: Relation(
        "e6", "about 8 in 10", "cp", "A chipset inside the CPU has no rail of its own."
    ),
    Circuit.MEMORY: Relation(
        "e7",
        "about 9 in 10",
        "cp",
        "DDR5 modules make their own: only 5 V arrives there.",
    ),
    Circuit.CPU: Relation(
        "e8",
        "19 in 20",
        "jd",
        "The last of a row, of another size, serves the CPU’s side rails; a "
        "controller may be shared with graphics.",
    ),
    Circuit.GRAPHICS: Relation(
        "e9", "about 9 in 10", "cp", "Integrated graphics has no rail of its own."
    ),
}
