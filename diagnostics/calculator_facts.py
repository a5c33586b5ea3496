"""What the bench knows already of a calculator's inputs, as it would be typed."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from math import inf

from diagnostics import passing, words
from diagnostics.bridge import Judged, Known, observed, settled_ohms
from diagnostics.engine.calculators.injection_limits import (
    CEILING_AMPERES,
    SLACK,
    STEP_AMPERES,
    most_amperes,
    most_volts,
)
from diagnostics.engine.calculators.registry import CALCULATORS
from diagnostics.engine.calculators.shape import CalculatorError, Input
from diagnostics.engine.family import Point, Rail
from diagnostics.engine.quantities import Outcome, show
from diagnostics.models import Reading
from shop.records.errors import Refused

Values = Mapping[str, float | str | None]
INJECTED = "k53"
POWER = "k24"
SENSE = "k21"
CURRENT = ("k51", "k24")


@dataclass(frozen=True)
class Facts:
    """A board, the point in hand if there is one, and the meter with its leads."""

    known: Known
    point_id: str
    lead_ohms: float | None = None
    diode_amps: float | None = None

    @property
    def point(self) -> Point | None:
        return self.known.board.points.get(self.point_id)

    @property
    def rail(self) -> Rail | None:
        """The rail in hand: the point's own, the far end of its pair, or by its id."""
        rails, point = self.known.board.rails, self.point
        if point is None:
            return None
        name = self.point_id.partition("/")[2]
        tried = [point.rail, point.pair[1] if point.pair else None, name]
        tried.append(name.rpartition(".")[0])
        return next((rails[one] for one in tried if one and one in rails), None)

    def newest(self) -> Iterator[Judged]:
        """Our standing readings, the newest first."""
        return reversed(passing.our_judged(self.known))

    def ohms_of(self, rail: Rail | None) -> float | None:
        """Ohms to ground of a rail, less the leads; none where it read OL."""
        for one in self.newest():
            is_own = one.point.pair is None and rail_of(one) == (rail and rail.id)
            if is_own and one.reading.unit == "ohm" and one.reading.value is not None:
                return settled_ohms(one.reading)
        return None

    def value_of(self, mode: str, rail: Rail | None) -> float | None:
        """The newest value read on a rail in one meter mode."""
        for one in self.newest():
            is_own = rail is not None and rail_of(one) == rail.id
            if is_own and one.check.mode == mode and has_value(one):
                return one.reading.value
        return None

    def value_at(self, *checks: str) -> float | None:
        """The newest value of these checks."""
        for one in self.newest():
            if one.check.id in checks and has_value(one):
                return observed(one.reading).net
        return None

    def supply(self) -> tuple[float | None, float | None]:
        """Volts and limit that the supply was last set to."""
        for one in self.newest():
            if one.reading.supply_volts is not None:
                return one.reading.supply_volts, one.reading.supply_limit_amps
        return None, None

    @property
    def input_volts(self) -> float | None:
        """The nominal volts of what comes in: of the first stage's first rail."""
        board = self.known.board
        first = board.family.stages[0].id
        comes_in = (rail for rail in board.rails.values() if rail.stage == first)
        return next((rail.nominal for rail in comes_in), None)

    @property
    def feed(self) -> Rail | None:
        """The rail that feeds the one in hand, else the one on its high sides."""
        rails = self.known.board.rails
        needs = self.rail.needs if self.rail else ()
        fed_by = [*needs, *sorted(self.known.board.mains)]
        return next((rails[one] for one in fed_by if one in rails), None)


def rail_of(one: Judged) -> str | None:
    return one.point.rail


def has_value(one: Judged) -> bool:
    return one.reading.outcome == Outcome.VALUE


# --- what each calculator is filled with ------------------------------------------


def divider(facts: Facts) -> Values:
    nominals = sorted(
        {rail.nominal for rail in facts.known.board.rails.values() if rail.nominal}
    )
    return {"rail_volts": "\n".join(f"{one:g} V" for one in nominals)}


def sense(facts: Facts) -> Values:
    return {"ohms": facts.value_at(SENSE)}


def buck(facts: Facts) -> Values:
    feed = facts.feed
    read = facts.value_of("V", feed)
    hertz = None
    if facts.point is not None and facts.point.unit == "Hz":
        hertz = next(
            (o.reading.value for o in facts.newest() if o.point == facts.point), None
        )
    return {
        "input_volts": read or (feed and feed.nominal) or facts.input_volts,
        "output_volts": facts.rail.nominal if facts.rail else None,
        "hertz": hertz,
    }


def injection(facts: Facts) -> Values:
    """The rail's own figures, and the step after the last that was stored."""
    rail, last = facts.rail, last_step(facts)
    nominal = rail.nominal if rail else None
    amperes = last.supply_limit_amps if last else None
    volts = most_volts(nominal, None) if nominal else None
    return {
        "nominal_volts": nominal,
        "ohms": facts.ohms_of(rail) if rail else None,
        "set_volts": (last.supply_volts if last else None) or volts,
        "set_amperes": most_amperes("thin", amperes),
        "last_amperes": amperes,
        "is_main": "on" if rail and rail.id in facts.known.board.mains else "",
    }


def last_step(facts: Facts) -> Reading | None:
    """The newest reading of the drop map at this point, since the last repair."""
    for one in facts.newest():
        is_here = one.reading.point_id == facts.point_id
        if is_here and one.check.id == INJECTED:
            return one.reading if one.reading.epoch == facts.known.epoch else None
    return None


def low_ohms(facts: Facts) -> Values:
    return {"leads_ohms": facts.lead_ohms}


def standby(facts: Facts) -> Values:
    volts, _limit = facts.supply()
    return {
        "supply_volts": volts or facts.input_volts,
        "measured_amperes": facts.value_at(POWER),
    }


def discharge(facts: Facts) -> Values:
    read = facts.value_of("V", facts.rail)
    return {"start_volts": read if read and read > 0 else facts.input_volts}


def mosfet_drop(facts: Facts) -> Values:
    return {"amperes": facts.value_at(*CURRENT)}


def diode_check(facts: Facts) -> Values:
    return {
        "ohms": facts.ohms_of(facts.rail) if facts.rail else None,
        "diode_volts": facts.value_of("D", facts.rail),
        "test_amperes": facts.diode_amps,
    }


FILLS: Mapping[str, Callable[[Facts], Values]] = {
    "divider": divider,
    "sense": sense,
    "buck": buck,
    "injection": injection,
    "low_ohms": low_ohms,
    "standby": standby,
    "discharge": discharge,
    "mosfet_drop": mosfet_drop,
    "diode_check": diode_check,
}


def filled(calculator_id: str, facts: Facts) -> dict[str, str]:
    """Defaults, and over them what the board tells, each as it would be typed."""
    calculator = CALCULATORS[calculator_id]
    fill = FILLS.get(calculator_id)
    values = fill(facts) if fill else {}
    typed = {one.name: one.default for one in calculator.inputs}
    for one in calculator.inputs:
        value = values.get(one.name)
        if value is not None:
            typed[one.name] = value if isinstance(value, str) else shown(value, one)
    return typed


def shown(value: float, one: Input) -> str:
    """As a person would type it: with a plain space before the unit."""
    return show(value, one.unit).replace("\N{NO-BREAK SPACE}", " ")


def settled(calculator_id: str, facts: Facts) -> dict[str, str]:
    """What nobody types: how the high sides stand, and that main is main."""
    if calculator_id != "injection":
        return {}
    stands = {"high_side": high_side(facts.known)}
    is_main = facts.rail is not None and facts.rail.id in facts.known.board.mains
    return stands | {"is_main": "on"} if is_main else stands


def refuse_injection(known: Known, row: Reading) -> None:
    """No reading is kept of an injection beyond the limits that hold at any step."""
    if row.condition != "J":
        return
    rail = Facts(known, row.point_id).rail
    nominal = rail.nominal if rail and rail.nominal else inf
    volts, amperes = most_volts(nominal, STEP_AMPERES), max(CEILING_AMPERES.values())
    if (row.supply_volts or 0.0) > volts * SLACK:
        said = CalculatorError("volts_over_limit", limit_volts=volts)
        raise Refused(words.error_sentence(said), field="supply_volts")
    if (row.supply_limit_amps or 0.0) > amperes * SLACK:
        said = CalculatorError("amperes_over_limit", limit_amps=amperes)
        raise Refused(words.error_sentence(said), field="supply_limit_amps")


def high_side(known: Known) -> str:
    """What holds injection off by the board's own gates: nothing, or a short."""
    if INJECTED not in known.board.checks:
        return "open"
    codes = {hold.reason.code for hold in passing.holds(known, INJECTED)}
    if "gate_bad" in codes:
        return "bad"
    return "open" if codes else "passed"
