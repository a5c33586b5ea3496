"""The short hunt as data: its inputs and figures. PURE."""

from diagnostics.engine.calculators.injection import Injection, inject
from diagnostics.engine.calculators.injection_limits import (
    CEILING_AMPERES,
    FIRST_VOLTS,
    MOST_SECONDS,
    SHARE_OF_NOMINAL,
    STEP_AMPERES,
)
from diagnostics.engine.calculators.shape import (
    Calculator,
    Input,
    Kind,
    Limit,
    Output,
)

CALCULATOR = Calculator(
    id="injection",
    name="Short hunting by drop",
    formula="V = I · R,  P = I² · R,  copper 0.5 mΩ a square (35 µm)",
    given=Injection,
    work=inject,
    inputs=(
        Input("nominal_volts", "Nominal volts of the rail", "V"),
        Input("ohms", "Ohms of the rail to ground, less the leads", "ohm"),
        Input("set_volts", "Supply set to", "V"),
        Input("set_amperes", "Current limit set to", "A", default="0.5 A"),
        Input(
            "last_amperes",
            "Current limit of the step before",
            "A",
            is_optional=True,
            help="Empty at the first step.",
        ),
        Input("seconds", "Time of this step", "s", default="30 s"),
        Input(
            "board_kind",
            "Where the current goes",
            kind=Kind.CHOICE,
            default="thin",
            choices=(("thin", "thin board: at most 3 A"), ("core", "core plane: 5 A")),
        ),
        Input("is_main", "The rail is main", kind=Kind.TICK),
        Input("high_side", "High sides", kind=Kind.KNOWN, default="open"),
        Input("is_pack_out", "Battery pack is out", kind=Kind.TICK),
        Input("is_adapter_out", "Adapter is out", kind=Kind.TICK),
        Input("are_modules_out", "Memory modules are out", kind=Kind.TICK),
        Input("resolution_volts", "Last digit of the meter", "V", default="1 mV"),
        Input(
            "squares",
            "Copper from feed to short, in squares",
            is_optional=True,
            help="Length over width of the copper.",
        ),
        Input(
            "points",
            "Points read to one ground",
            "V",
            Kind.MANY,
            is_optional=True,
            help="One a line: 447 mV, or with its place, C-a: 429 mV.",
        ),
        Input(
            "ground_points",
            "Second pass, ground side",
            "V",
            Kind.MANY,
            is_optional=True,
            help="Red stays where the current goes in; black walks over ground.",
        ),
    ),
    outputs=(
        Output("lowest_volts", "Lowest point", "V", reads=("k53",)),
        Output("drop_volts", "Drop over the rail", "V"),
        Output("watts", "Heat in the short", "W"),
        Output("gradient_volts", "Gradient along the points", "V"),
        Output("copper_volts", "Drop of the copper alone", "V"),
        Output("amperes", "Current that flows", "A"),
    ),
    serves=("k53", "k54"),
    cautions=("injection", "eyes"),
    limits=(
        Limit("Volts at first, at most", FIRST_VOLTS, "V"),
        Limit("Volts ever, of nominal, at most", SHARE_OF_NOMINAL * 100, "%"),
        Limit("Current at first, and each step more", STEP_AMPERES, "A"),
        Limit("Current on thin boards, at most", CEILING_AMPERES["thin"], "A"),
        Limit("Current on core planes, at most", CEILING_AMPERES["core"], "A"),
        Limit("Time of each step, at most", MOST_SECONDS, "s"),
    ),
)
