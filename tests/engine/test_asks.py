"""What to measure next: laws of information, twins, and published test sequences.

Published values are the project's list of check values: 4.29 to 4.35 (the polybox of
de Kleer & Williams 1987) and 4.36 to 4.43 (Huffman lengths; Pattipati & Alexandridis
1990).
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import combinations, product
from math import fsum, log, log2

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnostics.engine.asks import Ask, Asker
from diagnostics.engine.circuit.newton import Floats
from diagnostics.engine.circuit.predict import Predictions
from diagnostics.engine.kernels import kernels
from diagnostics.engine.weigh import Weighing
from tests.engine.made_up import OL, Rows, made, weighing

MODES = {"rail": "R", "fuse": "C", "body": "D", "volts": "V", "amps": "I"}
GOOD = {"rail": 1000.0, "fuse": 0.1, "body": 0.45, "volts": 3.3, "amps": 0.5}
FAULTS: dict[str, Rows] = {
    "": {**GOOD, "spare": 5.0},
    "cap.short": {"rail": 0.5, "volts": 0.0, "amps": 2.0},
    "fuse.open": {"fuse": OL, "volts": 0.0, "amps": 0.0},
    "chip.dead": {"volts": 0.0},
    "body.open": {"body": OL},
}
POINTS = {**MODES, "spare": "V"}
BOARD = made(POINTS, FAULTS)
KNOWN = kernels(BOARD)


def one_minute(_point: str) -> float:
    return 1.0


def always(_point: str) -> bool:
    return True


ASKER = Asker(KNOWN, one_minute)


def by_point(asks: Iterable[Ask]) -> dict[str, Ask]:
    return {ask.point: ask for ask in asks}


def entropy(shares: Iterable[float]) -> float:
    """In nats."""
    return -fsum(p * log(p) for p in shares if p > 0)


def entropy_of(one: Weighing) -> float:
    shares, _other, _boards = one.posterior()
    return entropy((shares / shares.sum()).tolist())


# --- laws ------------------------------------------------------------------------


READINGS = st.dictionaries(
    st.sampled_from(sorted(POINTS)), st.none() | st.floats(0.0, 5.0), max_size=4
)


def after(readings: Mapping[str, float | None]) -> Weighing:
    one = weighing(KNOWN)
    for point, value in readings.items():
        is_cold = POINTS[point] in "RCD"
        one.take(point, 0.0 if value is None and not is_cold else value)
    return one


@given(READINGS)
def test_information_is_never_negative_and_at_most_the_entropy(
    readings: dict[str, float | None],
) -> None:
    one = after(readings)
    most = entropy_of(one)
    for ask in ASKER.asks(one, always):
        assert 0 <= ask.information <= most + 1e-3


@given(READINGS)
def test_asks_come_best_first_and_only_of_open_points(
    readings: dict[str, float | None],
) -> None:
    one = after(readings)
    asks = ASKER.asks(one, lambda point: point not in one.read)
    left_out = set(POINTS) - set(readings) - {ask.point for ask in asks}
    assert {ask.point for ask in asks}.isdisjoint(readings)
    shares, _other, _boards = one.posterior()
    likely = np.flatnonzero(shares > 1e-4)
    for point in left_out:
        assert not KNOWN.touched[likely, KNOWN.place[point]].any()
    rates = [ask.rate for ask in asks]
    assert rates == sorted(rates, reverse=True)


def test_a_check_that_no_fault_touches_tells_nothing() -> None:
    found = by_point(ASKER.asks(weighing(KNOWN), always))
    assert set(found) == set(POINTS) - {"spare"}
    assert all(ask.information > 0.01 for ask in found.values())


def test_the_rate_is_information_for_a_minute() -> None:
    minutes = {**dict.fromkeys(POINTS, 2.0), "amps": 8.0}
    asker = Asker(KNOWN, lambda point: minutes[point])
    dear = by_point(asker.asks(weighing(KNOWN), always))
    cheap = by_point(ASKER.asks(weighing(KNOWN), always))
    for point, ask in dear.items():
        assert ask.information == pytest.approx(cheap[point].information)
        assert ask.rate == pytest.approx(ask.information / minutes[point])
    best = [one.asks(weighing(KNOWN), always)[0].point for one in (ASKER, asker)]
    assert best == ["amps", "volts"]


def test_what_is_already_known_tells_little_more() -> None:
    one = after({"fuse": None, "volts": 0.0, "amps": 0.0})
    before = by_point(ASKER.asks(weighing(KNOWN), always))
    left = by_point(ASKER.asks(one, always))
    assert entropy_of(one) < 0.1
    assert all(ask.information < 0.1 for ask in left.values())
    assert left["volts"].information < 0.2 * before["volts"].information


def test_where_something_else_is_all_that_is_left_nothing_tells() -> None:
    one = weighing(KNOWN)
    for _again in range(6):
        one.take("volts", 12.0)
    shares, other, _boards = one.posterior()
    assert shares.max() < 1e-4
    assert other > 0.999
    assert ASKER.asks(one, always) == []


def test_a_missed_contact_makes_every_check_tell_less() -> None:
    sure = by_point(Asker(KNOWN, one_minute, missed=0.0).asks(weighing(KNOWN), always))
    slips = by_point(Asker(KNOWN, one_minute, missed=0.2).asks(weighing(KNOWN), always))
    for point in MODES:
        assert slips[point].information < sure[point].information


def test_yes_or_no_between_two_equals_is_one_bit() -> None:
    board = made({"volts": "V"}, {"": {"volts": 3.0}, "chip.dead": {"volts": 1.0}})
    asker = Asker(kernels(board), one_minute, missed=0.0)
    found = asker.asks(weighing(board, np.array([0.5, 0.5])), always)
    assert found[0].information == pytest.approx(log(2), rel=1e-5)


def test_a_reading_makes_the_boards_count_that_are_still_likely() -> None:
    """A short of 0.5 or 50 ohm; once it is known which, the second reading of the
    same net is foretold."""
    ohms = [0.5, 50.0] * 4
    board = made(
        {"rail": "R", "after": "R"},
        {
            "": {"rail": 1e4, "after": 1e4},
            "cap.short": {"rail": ohms, "after": ohms},
            "other.short": {"rail": ohms, "after": ohms[::-1]},
        },
    )
    asker = Asker(kernels(board), one_minute)
    one = weighing(board, np.array([0.0, 0.5, 0.5]))
    before = by_point(asker.asks(one, always))["after"].information
    one.take("rail", 0.5)
    assert before < 0.05
    assert by_point(asker.asks(one, always))["after"].information > 0.5


# --- how well two groups are told apart --------------------------------------------


def apart(
    one: list[int], other: list[int], is_open: Callable[[str], bool] = always
) -> float:
    return float(ASKER.outlook(weighing(KNOWN), is_open).apart([one, other])[1])


def test_groups_are_apart_by_the_best_open_check() -> None:
    short, fuse, dead = 1, 2, 3
    assert apart([short], [fuse]) > 0.9
    assert apart([fuse], [dead]) > 0.9
    assert apart([fuse], [dead], lambda p: p in {"rail", "volts"}) < 0.01
    assert apart([fuse], [dead], lambda _p: False) == 0
    assert apart([short, fuse], [short, fuse]) == pytest.approx(0)


def test_a_fault_that_is_out_of_the_question_is_not_apart_from_any() -> None:
    one = after({"fuse": None, "volts": 0.0, "amps": 0.0})
    likely = ASKER.outlook(one, always)
    gone = sorted({*range(len(KNOWN.centres))} - set(likely.likely.tolist()))
    assert gone
    assert likely.apart([[gone[0]], likely.likely.tolist()])[1] == 0


# --- twins -------------------------------------------------------------------------

BOARDS = 48
LEVEL = 0.9 * (1 + np.random.default_rng(1).normal(0, 0.012, BOARDS))
HIGH, LOW = (1.012 * LEVEL).tolist(), (0.997 * LEVEL).tolist()
PHASES = made(
    {"phase_1": "V", "phase_2": "V"},
    {
        "": {"phase_1": LEVEL.tolist(), "phase_2": LEVEL.tolist()},
        "first.open": {"phase_1": LOW, "phase_2": HIGH},
        "second.open": {"phase_1": HIGH, "phase_2": LOW},
    },
    BOARDS,
)
PAIR = ("phase_1", "phase_2")
NO_ONE_WELL = np.array([0.0, 0.5, 0.5])


def test_twins_tell_together_what_neither_tells_alone() -> None:
    twins = kernels(PHASES, frozenset(PAIR))
    alone = Asker(twins, one_minute)
    together = Asker(twins, one_minute, [PAIR])
    one = weighing(twins, NO_ONE_WELL)
    single = by_point(alone.asks(one, always))
    paired = by_point(together.asks(one, always))
    assert single["phase_1"].information < 0.25
    # For two minutes they tell nearly all of ln 2; the first carries its half.
    assert paired["phase_1"].rate > 0.8 * log(2) / 2
    assert paired["phase_2"].rate == pytest.approx(single["phase_2"].rate)


def test_twins_are_one_ask_only_while_both_are_open() -> None:
    twins = kernels(PHASES, frozenset(PAIR))
    together, alone = Asker(twins, one_minute, [PAIR]), Asker(twins, one_minute)
    one = weighing(twins, NO_ONE_WELL)
    for point in PAIR:
        left = together.asks(one, lambda p, point=point: p == point)  # type: ignore[misc]
        assert left == alone.asks(one, lambda p, point=point: p == point)  # type: ignore[misc]


def test_after_the_first_twin_the_second_tells_the_rest() -> None:
    twins = kernels(PHASES, frozenset(PAIR))
    asker = Asker(twins, one_minute, [PAIR])
    one = weighing(twins, NO_ONE_WELL)
    one.take("phase_1", LOW[7])
    second = by_point(asker.asks(one, lambda point: point == "phase_2"))
    assert second["phase_2"].information > 0.3
    one.take("phase_2", HIGH[7])
    shares, _other, _boards = one.posterior()
    assert shares[1] > 5 * shares[2]


def test_a_pair_that_tells_less_together_is_asked_one_by_one() -> None:
    """Where one alone settles it, two minutes for both are too many."""
    board = made(
        {"phase_1": "V", "phase_2": "V"},
        {
            "": {"phase_1": 0.9, "phase_2": 0.9},
            "chip.dead": {"phase_1": 0.3, "phase_2": 0.3},
        },
    )
    known = kernels(board, frozenset(PAIR))
    one = weighing(known)
    paired, alone = Asker(known, one_minute, [PAIR]), Asker(known, one_minute)
    assert paired.asks(one, always) == alone.asks(one, always)


# --- the polybox ---------------------------------------------------------------------

PARTS = ("M1", "M2", "M3", "A1", "A2")
PROBES = {"X": (6, 4), "Y": (6, 4), "Z": (6, 8)}


def worlds(broken: frozenset[str]) -> list[tuple[int, int, int]]:
    """X, Y, Z that a set of broken parts allows, with F = 10 and G = 12 observed.

    M1 makes X, M2 Y, M3 Z, each 6 by its inputs; A1: F = X + Y, A2: G = Y + Z. A
    broken part may put out anything (here 0 to 12, which holds all that matters).
    """
    every = range(13)
    return [
        (x, y, z)
        for x, y, z in product(
            *([6] if part not in broken else every for part in ("M1", "M2", "M3"))
        )
        if ("A1" in broken or x + y == 10) and ("A2" in broken or y + z == 12)
    ]


def consistent() -> dict[frozenset[str], float]:
    """Sets of broken parts that the observations allow, by probability."""
    found = {
        broken: 0.01 ** len(broken) * 0.99 ** (5 - len(broken))
        for count in range(6)
        for broken in map(frozenset, combinations(PARTS, count))
        if worlds(broken)
    }
    whole = fsum(found.values())
    return {broken: p / whole for broken, p in found.items()}


def polybox() -> tuple[Predictions, Floats]:
    """The polybox as a board: a set that leaves a probe open shows its two values on
    half of the boards each. Only what the first probe tells is asked of it."""
    rows: dict[str, Rows] = {"": dict.fromkeys(PROBES, 6.0)}
    for broken in consistent():
        seen = worlds(broken)
        shown: dict[str, list[float]] = {}
        for at, (probe, values) in enumerate(PROBES.items()):
            found = {world[at] for world in seen}
            open_pair = [float(v) for v in values for _n in range(4)]
            shown[probe] = [float(found.pop())] * 8 if len(found) == 1 else open_pair
        rows["+".join(sorted(broken)) + "."] = shown
    return made(dict.fromkeys(PROBES, "V"), rows), np.array(
        [0.0, *consistent().values()]
    )


def test_the_polybox_is_the_published_one() -> None:
    """4.29: 27 consistent sets, 1.359445 bits; {M1} and {A1} 0.478026 each."""
    found = consistent()
    assert len(found) == 27
    assert entropy(found.values()) / log(2) == pytest.approx(1.359445, abs=1e-6)
    assert found[frozenset({"M1"})] == pytest.approx(0.478026, abs=1e-6)


@pytest.mark.parametrize(
    ("probe", "value", "sets", "bits"),
    [
        ("X", 6, 22, 0.476202),
        ("X", 4, 16, 0.323173),
        ("Y", 6, 24, 1.282961),
        ("Y", 4, 12, 1.202168),
        ("Z", 6, 26, 1.321726),
        ("Z", 8, 11, 0.395408),
    ],
)
def test_the_polybox_after_a_probe(
    probe: str, value: int, sets: int, bits: float
) -> None:
    """4.30 to 4.35, where a set that leaves the probe open counts in full; so the
    reading is weighed here on the boards that show it."""
    at = list(PROBES).index(probe)
    found = {
        broken: p
        for broken, p in consistent().items()
        if any(world[at] == value for world in worlds(broken))
    }
    assert len(found) == sets
    board = made(
        {probe: "V"},
        {
            "": {probe: 1.0},
            **{"+".join(sorted(b)) + ".": {probe: float(value)} for b in found},
            "rest.": {probe: 2.0},
        },
    )
    rest = 1 - fsum(found.values())
    one = weighing(board, np.array([0.0, *found.values(), rest]), missed=0.0)
    one.take(probe, float(value))
    assert entropy_of(one) / log(2) == pytest.approx(bits, abs=1e-5)


def test_x_tells_most_of_the_polybox() -> None:
    """Probing X first is the published advice. What each probe is expected to tell
    is reckoned here from the sets, half and half where a set leaves it open."""
    board, priors = polybox()
    asker = Asker(kernels(board), one_minute, missed=0.0)
    found = by_point(asker.asks(weighing(board, priors), always))
    for at, (probe, values) in enumerate(PROBES.items()):
        rows = []
        for broken, p in consistent().items():
            seen = {world[at] for world in worlds(broken)}
            single = seen.pop() if len(seen) == 1 else None
            half = (
                [0.5, 0.5] if single is None else [float(v == single) for v in values]
            )
            rows.append((p, half))
        mixture = [fsum(p * row[n] for p, row in rows) for n in (0, 1)]
        expected = entropy(mixture) - fsum(p * entropy(row) for p, row in rows)
        assert found[probe].information == pytest.approx(expected, abs=2e-3), probe
    assert max(found, key=lambda probe: found[probe].information) == "X"
    assert found["X"].information > 5 * found["Y"].information


# --- test sequences -------------------------------------------------------------------

PASS, FAIL = 3.0, 1.0


def expected_tests(priors: list[float], tests: Mapping[str, str]) -> float:
    """Mean number of tests until one state is left, always asking what tells most.

    A test's row has a sign for each state: 1 where it fails.
    """
    first, *others = range(len(priors))
    rows: dict[str, Rows] = {
        "": {test: FAIL if row[first] == "1" else PASS for test, row in tests.items()},
        **{
            f"state{n}.": {
                t: FAIL if row[n] == "1" else PASS for t, row in tests.items()
            }
            for n in others
        },
    }
    board = made(dict.fromkeys(tests, "V"), rows, boards=1)
    asker = Asker(kernels(board), one_minute, missed=0.0)

    def left(state: int, asked: Sequence[str]) -> int:
        same = [
            n
            for n in range(len(priors))
            if all(tests[t][n] == tests[t][state] for t in asked)
        ]
        return len(same)

    def count(state: int) -> int:
        one = weighing(board, np.array(priors), missed=0.0)
        while left(state, one.read) > 1:
            ask = asker.asks(one, lambda point: point not in one.read)[0]
            one.take(ask.point, FAIL if tests[ask.point][state] == "1" else PASS)
        return len(one.read)

    return fsum(p * count(state) for state, p in enumerate(priors))


def every_split(count: int) -> dict[str, str]:
    """A test for every way of dividing the states in two, the first passing."""
    rows = ("".join(signs) for signs in product("01", repeat=count - 1))
    return {f"t{row}": f"0{row}" for row in rows if "1" in row}


@pytest.mark.parametrize(
    ("priors", "huffman"),
    [
        ([0.25, 0.25, 0.20, 0.15, 0.15], 2.30),  # 4.36
        ([1 / 3, 1 / 3, 1 / 4, 1 / 12], 2.00),  # 4.37
        ([1 / 2, 1 / 4, 1 / 8, 1 / 8], 1.75),  # 4.38, the bound itself
        ([0.4, 0.2, 0.2, 0.1, 0.1], 2.20),  # 4.39
        ([1 / 4] * 4, 2.0),  # 4.40
        ([1 / 5] * 5, 2.4),
        ([1 / 8] * 8, 3.0),
    ],
)
def test_with_every_split_at_hand_greedy_comes_near_huffman(
    priors: list[float], huffman: float
) -> None:
    bound = -fsum(p * log2(p) for p in priors)
    found = expected_tests(priors, every_split(len(priors)))
    assert bound - 1e-9 <= huffman <= found + 1e-9
    assert found <= 1.05 * huffman


def best_tests(priors: list[float], tests: Mapping[str, str]) -> float:
    """The least mean number of tests, by trying every sequence."""

    def best(states: frozenset[int]) -> float:
        if len(states) == 1:
            return 0.0
        found = []
        for row in tests.values():
            fails = frozenset(n for n in states if row[n] == "1")
            if fails and fails != states:
                found.append(best(fails) + best(states - fails))
        return fsum(priors[n] for n in states) + min(found)

    return best(frozenset(range(len(priors))))


SIX = [0.70, 0.01, 0.02, 0.10, 0.05, 0.12]
MATRIX = {
    "t1": "000111",
    "t2": "010011",
    "t3": "001001",
    "t4": "001101",
    "t5": "010100",
}


def test_six_states_and_five_tests_lie_between_the_bounds() -> None:
    """4.42: the optimum is 2.18, which greedy cannot beat. It asks t1 first where t2
    is best, and needs 2.86: nearly a third more. 4.41 bounds both by 1.59."""
    assert best_tests(SIX, MATRIX) == pytest.approx(2.18)
    found = expected_tests(SIX, MATRIX)
    assert found >= 2.18
    assert found == pytest.approx(2.86)
