"""A board of one of each kind of feed, with values that leave nothing open.

Jack, fuse, two MOSFETs back to back, sense resistor, main; a 5 V linear, a core of
two phases, a switched 5 V, a power-good with its pull-up, a button, a clock, the
gate of the MOSFETs. Spans are points but where a test is about spans.
"""

from diagnostics.engine.circuit.cloud import Cloud
from diagnostics.engine.circuit.parts import (
    GROUND,
    NO_FAULT,
    Change,
    Circuit,
    Fault,
    Feed,
    Junction,
    Link,
    Load,
    Span,
)
from diagnostics.engine.circuit.powered import Powered

BOARDS = 64


def point(value: float) -> Span:
    return (value, value)


LOADS = (
    Load("jack", point(100e3)),
    Load("main", point(50e3), drop=point(0.45), amps=point(0.01)),
    Load("ldo", point(5e3), drop=point(0.50), amps=point(0.02)),
    Load("core", point(10.0), drop=point(0.40), amps=point(0.5)),
    Load("run", point(2e3), amps=point(0.1)),
)
LINKS = (
    Link("fuse", ("jack", "after"), point(0.05)),
    Link("sense_r", ("sense", "main"), point(0.01)),
    Link("coil_1", ("phase_1", "core"), point(0.004)),
    Link("coil_2", ("phase_2", "core"), point(0.004)),
    Link("button_line", ("button", "button_at_ec"), point(1.0)),
)
JUNCTIONS = (
    Junction("fet_1", "middle", "after", point(0.45)),
    Junction("fet_2", "middle", "sense", point(0.45)),
    Junction("high_1", "phase_1", "main", point(0.42)),
    Junction("high_2", "phase_2", "main", point(0.42)),
    Junction("low_1", GROUND, "phase_1", point(0.42)),
    Junction("low_2", GROUND, "phase_2", point(0.42)),
)


def feed(id_: str, kind: str, to: str, supply: str = "", **more: object) -> Feed:
    return Feed(id_, kind, to, supply, **{"spread": 0.0, **more})  # type: ignore[arg-type]


FEEDS = (
    feed("adapter", "source", "jack", volts=19.0, first_volts=5.0, amps=4.0),
    feed("fuse", "through", "after", "jack", first="fuse"),
    feed("bias", "linear", "bias", "after", volts=6.0, amps=0.05, headroom=0.6),
    feed(
        "gate",
        "line",
        "gate",
        "middle",
        above=6.0,
        waits=("bias",),
        least={"after": 15.0},
        first="gate_r",
    ),
    feed(
        "path",
        "path",
        "sense",
        "after",
        middle="middle",
        gate="gate",
        first="fet_1",
        second="fet_2",
    ),
    feed("sense_r", "through", "main", "sense", first="sense_r"),
    feed("ldo", "linear", "ldo", "main", volts=5.0, amps=0.1, headroom=0.5),
    feed("clock", "line", "clock", volts=1.4, first="clock_r", waits=("ldo",)),
    feed("button", "contact", "button", "ldo", first="button_line"),
    feed("sleep", "line", "sleep", "ldo", waits=("button", "clock"), states="B"),
    feed(
        "core",
        "buck",
        "core",
        "main",
        volts=1.0,
        amps=8.0,
        waits=("sleep",),
        phases=("phase_1", "phase_2"),
        inductors=("coil_1", "coil_2"),
        high_sides=("high_1", "high_2"),
    ),
    feed("run", "switch", "run", "ldo", waits=("sleep",)),
    feed("half", "switch", "half", "core", volts=0.5),
    feed("good", "line", "good", "ldo", waits=("core",), pull_up="good_r"),
    feed("wake", "line", "wake", volts=1.2, first="wake_r", first_volts=4.2),
)

NAMED: dict[str, tuple[Change, ...]] = {
    "jack shorted": (Change("short", "jack", ohms=point(0.5)),),
    "jack leaks": (Change("leak", "jack", ohms=point(190.0)),),
    "main shorted": (Change("short", "main", ohms=point(0.2)),),
    "main leaks": (Change("leak", "main", ohms=point(190.0)),),
    "bias shorted": (Change("short", "bias", ohms=point(10.0)),),
    "ldo shorted": (Change("short", "ldo", ohms=point(10.0)),),
    "ldo leaks": (Change("leak", "ldo", ohms=point(100.0)),),
    "core shorted": (Change("short", "core", ohms=point(0.05)),),
    "core leaks": (Change("leak", "core", ohms=point(2.0)),),
    "run shorted": (Change("short", "run", ohms=point(1.0)),),
    "adapter dead": (Change("dead", "adapter"),),
    "adapter low": (Change("low", "adapter"),),
    "adapter weak": (Change("weak", "adapter"),),
    "ldo dead": (Change("dead", "ldo"),),
    "core dead": (Change("dead", "core"),),
    "run dead": (Change("dead", "run"),),
    "good dead": (Change("dead", "good"),),
    "clock dead": (Change("dead", "clock"),),
    "clock sometimes": (Change("dead", "clock", chance=0.4),),
    "core sometimes": (Change("short", "core", ohms=point(0.05), chance=0.4),),
    "fuse open": (Change("open", "fuse"),),
    "sense open": (Change("open", "sense_r"),),
    "fet 1 open": (Change("open", "fet_1"),),
    "fet 2 open": (Change("open", "fet_2"),),
    "fet 1 shorted": (Change("bridge", "after", "middle"), Change("dead", "gate")),
    "gate cut": (Change("open", "gate_r"),),
    "one coil open": (Change("open", "coil_1"),),
    "coils open": (Change("open", "coil_1"), Change("open", "coil_2")),
    "one high open": (Change("open", "high_1"),),
    "highs open": (Change("open", "high_1"), Change("open", "high_2")),
    "high shorted": (Change("bridge", "main", "phase_1"),),
    "high shorted, core too": (
        Change("bridge", "main", "phase_1"),
        Change("short", "core", ohms=point(12.0)),
    ),
    "low shorted": (Change("bridge", "phase_1", GROUND),),
    "pull-up open": (Change("open", "good_r"),),
    "button line open": (Change("open", "button_line"),),
    "button worn": (Change("worn", "button"),),
    "clock cut": (Change("open", "clock_r"),),
    "wake cut": (Change("open", "wake_r"),),
}
FAULTS: dict[Fault, tuple[Change, ...]] = {
    NO_FAULT: (),
    **{("part", way): changes for way, changes in NAMED.items()},
}
CIRCUIT = Circuit(LOADS, LINKS, JUNCTIONS, FEEDS, FAULTS, hold_leads=True)
CLOUD = Cloud(CIRCUIT, BOARDS)


def fault(way: str) -> Fault:
    return ("part", way) if way else NO_FAULT


def live(way: str = "", condition: str = "B") -> Powered:
    return Powered(CLOUD, fault(way), condition)
