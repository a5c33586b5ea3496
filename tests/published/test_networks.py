"""Published networks and diagnoses, by the engine's own rule (engine/discrete.py).

The list of check values, 4.1 to 4.35: Lauritzen & Spiegelhalter 1988 (tables READ in
the BUGS examples), Pearl 1988 and Russell & Norvig, Murphy 1998, Gigerenzer &
Hoffrage 1995, de Kleer & Williams 1987. Six decimals are variable elimination's.
"""

from itertools import combinations, product
from math import fsum, log

import numpy as np
import pytest

from diagnostics.engine import discrete
from diagnostics.engine.circuit.newton import Floats
from tests.published.networks import ALARM, ASIA, SPRINKLER, Network, always

pytestmark = pytest.mark.long

ASIA_ROWS = """
4.1  -     0.010400 0.055000 0.450000 0.064828 0.110290 0.435971 0.5
4.2  D     0.018845 0.102759 0.833967 0.120536 0.162098 1        0.633997
4.3  AD    0.087751 0.099525 0.811402 0.182300 0.219539 1        0.625920
4.4  ADX   0.391712 0.444271 0.628822 0.813769 1        1        0.702025
4.5  ADx   0.002249 0.002550 0.862761 0.004672 0        1        0.604512
4.6  X     0.092411 0.488711 0.506326 0.576040 1        0.640766 0.687754
4.7  XD    0.113933 0.621253 0.681869 0.728725 1        1        0.785610
4.8  XS    0.067183 0.645991 0.600000 0.706456 1        0.731937 1
4.9  DS    0.015427 0.148334 0.880164 0.162218 0.200862 1        1
4.10 Ds    0.024767 0.023815 0.753945 0.048334 0.094951 1        0
4.11 ADs   0.112835 0.022567 0.717942 0.134274 0.174874 1        0
4.12 A     0.050000 0.055000 0.450000 0.102250 0.145093 0.450137 0.5
4.13 S     0.010400 0.100000 0.600000 0.109360 0.151705 0.552808 1
"""
ASIA_CASES = [line.split() for line in ASIA_ROWS.strip().splitlines()]


def seen_in(letters: str) -> dict[str, bool]:
    """Capital letters were seen, small ones seen not to be."""
    return {one.upper(): one.isupper() for one in letters.strip("-")}


@pytest.mark.parametrize("row", ASIA_CASES, ids=[row[0] for row in ASIA_CASES])
def test_asia(row: list[str]) -> None:
    _number, letters, *printed = row
    seen = seen_in(letters)
    asked = [
        (name, value)
        for name, value in zip("TLBEXDS", printed, strict=True)
        if name not in seen
    ]
    for name, value in asked:
        found = ASIA.chance(name, **seen)
        assert found == pytest.approx(float(value), abs=6e-7), name


@pytest.mark.parametrize(
    ("number", "name", "letters", "printed"),
    [
        ("4.14", "B", "JM", 0.284172),
        ("4.18", "B", "J", 0.016284),
        ("4.18", "B", "M", 0.056117),
        ("4.19", "A", "", 0.00251644),
        ("4.19", "J", "", 0.05213898),
        ("4.19", "M", "", 0.01173634),
        ("4.20", "B", "A", 0.373551),
        ("4.20", "B", "AE", 0.003268),
        ("4.21", "A", "JM", 0.760692),
        ("4.21", "E", "JM", 0.176067),
        ("4.22", "B", "Jm", 0.00512986),
        ("4.22", "B", "jm", 0.00009018),
        ("4.23", "W", "", 0.6471),
    ],
)
def test_alarm_and_sprinkler(
    number: str, name: str, letters: str, printed: float
) -> None:
    network = SPRINKLER if number == "4.23" else ALARM
    found = network.chance(name, **seen_in(letters))
    assert found == pytest.approx(printed, abs=6e-7)


def test_alarm_by_products_of_what_is_foretold() -> None:
    """4.15 to 4.17: P(j, m, b), P(j, m, a, not b, not e) and P(j, m given b)."""
    both = ALARM.chance("J") * ALARM.chance("M", J=True)
    burglary = ALARM.chance("B", J=True, M=True)
    assert both * burglary == pytest.approx(0.00059224, abs=5e-9)
    assert both * (1 - burglary) == pytest.approx(0.00149186, abs=5e-9)
    shares = ALARM.shares(J=True, M=True)
    at = ALARM.states.index({"B": False, "E": False, "A": True})
    assert both * float(shares[at]) == pytest.approx(0.000628111, abs=5e-10)
    given = ALARM.chance("J", B=True) * ALARM.chance("M", J=True, B=True)
    assert given == pytest.approx(0.592243, abs=6e-7)


@pytest.mark.parametrize(
    ("name", "letters", "printed"),
    [("S", "W", 0.429764), ("R", "W", 0.707928), ("S", "WR", 0.194499)],
)
def test_sprinkler(name: str, letters: str, printed: float) -> None:
    """4.23, Murphy 1998."""
    found = SPRINKLER.chance(name, **seen_in(letters))
    assert found == pytest.approx(printed, abs=6e-7)


@pytest.mark.parametrize(
    ("prior", "if_so", "if_not", "printed", "digits"),
    [
        (1 / 50000, 0.7, 0.01, 0.0014, 1e-5),  # 4.24 meningitis, P(stiff neck) = 0.01
        (1 / 50000, 0.5, 1 / 20, 0.0002, 1e-5),  # 4.25, the earlier edition
        (0.01, 0.8, 0.096, 0.0776398, 5e-8),  # 4.27 screening
        (0.2, 0.6, 0.1, 0.6, 1e-12),  # 4.26 dentist: .12 of .2, and .08 of .8
    ],
)
def test_one_cause_and_one_sign(
    prior: float, if_so: float, if_not: float, printed: float, digits: float
) -> None:
    one = Network(
        {"cause": always(prior)},
        {"sign": lambda state: if_so if state["cause"] else if_not},
    )
    assert one.chance("cause", sign=True) == pytest.approx(printed, abs=digits)


@pytest.mark.parametrize(
    ("causes", "fever"),
    [
        *(("", 0.0), ("C", 0.4), ("F", 0.8), ("M", 0.9)),
        *(("CF", 0.88), ("CM", 0.94), ("FM", 0.98), ("CFM", 0.988)),
    ],
)
def test_fever_by_any_cause_that_nothing_inhibits(causes: str, fever: float) -> None:
    """4.28, noisy-OR: each cause there works unless it is inhibited, and each is so
    with its own chance; summed over what is inhibited."""
    inhibited = {"C": 0.6, "F": 0.2, "M": 0.1}
    network = Network(
        {name: always(1 - chance) for name, chance in inhibited.items()},
        {"fever": lambda works: float(any(works[name] for name in causes))},
    )
    assert network.chance("fever") == pytest.approx(fever)


# --- the polybox ------------------------------------------------------------------

PARTS = ("M1", "M2", "M3", "A1", "A2")
SETS = [frozenset(one) for count in range(6) for one in combinations(PARTS, count)]
PRIORS = np.array([0.01 ** len(one) * 0.99 ** (5 - len(one)) for one in SETS])
WIRES = ("X", "Y", "Z", "F", "G")
Wires = tuple[int, int, int, int, int]


def allowed(broken: frozenset[str], seen: dict[str, int]) -> list[Wires]:
    """What X, Y, Z, F and G may be: M1 to M3 make 6, F = X + Y, G = Y + Z; a broken
    part may put out anything (0 to 12 holds all that matters)."""
    every = range(13)
    inner = product(*(every if m in broken else [6] for m in ("M1", "M2", "M3")))
    found = [
        (x, y, z, f, g)
        for x, y, z in inner
        for f in (every if "A1" in broken else [x + y])
        for g in (every if "A2" in broken else [y + z])
    ]
    at = {WIRES.index(wire): value for wire, value in seen.items()}
    return [one for one in found if all(one[n] == v for n, v in at.items())]


def diagnosed(**seen: int) -> Floats:
    """Shares of the sets: one check with the answers contradicted and allowed."""
    is_allowed = np.array([bool(allowed(one, seen)) for one in SETS], dtype=float)
    table = np.stack([1 - is_allowed, is_allowed], axis=1)[:, :, None]
    return discrete.posterior(PRIORS, [(table, 1)])[0]


@pytest.mark.parametrize(
    ("probe", "sets", "printed", "bits"),
    [
        ("", 27, ".497635 .019609 .014780 .497635 .014780", 1.359445),
        ("X=6", 22, ".010000 .029127 .019516 .980680 .019516", 0.476202),
        ("X=4", 16, "1 .01 .01 .01 .01", 0.323173),
        ("Y=6", 24, ".502513 .01 .01 .502513 .01", 1.282961),
        ("Y=4", 12, ".01 1 .502513 .01 .502513", 1.202168),
        ("Z=6", 26, ".500050 .014852 .01 .500050 .014852", 1.321726),
        ("Z=8", 11, ".019516 .980680 1 .019516 .029127", 0.395408),
    ],
)
def test_polybox(probe: str, sets: int, printed: str, bits: float) -> None:
    """4.29 to 4.35, F = 10 and G = 12 observed; chances of M1, M2, M3, A1, A2."""
    wire, _is, value = probe.partition("=")
    shares = diagnosed(F=10, G=12, **({wire: int(value)} if wire else {}))
    assert int((shares > 0).sum()) == sets
    for part, chance in zip(PARTS, printed.split(), strict=True):
        found = fsum(p for p, one in zip(shares, SETS, strict=True) if part in one)
        assert found == pytest.approx(float(chance), abs=6e-7), part
    assert float(discrete.entropy(shares)) / log(2) == pytest.approx(bits, abs=6e-7)


def test_the_best_probe_of_the_polybox_is_x() -> None:
    """The published advice. Where a set leaves a probe open, each of its values is
    as likely as another."""
    seen = {"F": 10, "G": 12}
    shares = diagnosed(**seen)
    told = {}
    for probe in ("X", "Y", "Z"):
        rows = np.zeros((len(SETS), 13))
        for n, one in enumerate(SETS):
            values = {wires[WIRES.index(probe)] for wires in allowed(one, seen)}
            for value in values:
                rows[n, value] = 1 / len(values)
        told[probe] = discrete.information(rows, shares)
    assert max(told, key=lambda probe: told[probe]) == "X"
    assert told["X"] > 5 * max(told["Y"], told["Z"])
