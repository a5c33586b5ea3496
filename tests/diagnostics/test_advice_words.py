"""Reasons of the engine with the names of a board's things in them."""

from math import inf

import pytest

from diagnostics import advice_words, bridge, queries, words
from diagnostics.bridge import Known
from diagnostics.engine.calibration import EDGES, Bin
from diagnostics.engine.errors import Value
from diagnostics.engine.reasons import Reason, reason
from diagnostics.models import Board
from diagnostics.words import advice
from diagnostics.words.values import span

NBSP = "\N{NO-BREAK SPACE}"


@pytest.fixture
def known(board: Board) -> Known:
    return queries.known_of(board)


def said(known: Known, code: str, **values: Value) -> str:
    fields = {"point": "k11/sb.33", "unit": "ohm"} | values
    return advice_words.reading(known, Reason(code, fields)).replace(NBSP, " ")


def test_a_reading_for_a_suspect_is_told_beside_both_ranges(known: Known) -> None:
    told = said(
        known,
        "reading_for",
        value=0.4,
        low=0.0213,
        high=3.04,
        usual_low=297.0,
        usual_high=904.1,
    )
    assert told == (
        "standby 3.3 V, resistance read 0.4 Ω; with this fault 21 mΩ to 3 Ω, "
        "on a good board 300 to 900 Ω."
    )


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ({"value": inf, "low": inf, "high": inf}, "read OL; with this fault OL."),
        (
            {"ol": 1, "value": None, "usual_low": 300.0, "usual_high": None},
            "read OL; on a good board from 300 Ω up.",
        ),
        ({"value": 410.0}, "read 410 Ω, as with this fault."),
        ({"category": "stuck_memory", "unit": ""}, "read stuck memory, as with"),
    ],
)
def test_it_says_what_it_knows(
    known: Known, values: dict[str, Value], told: str
) -> None:
    assert told in said(known, "reading_for", **values)


def test_a_reading_against_it_says_what_it_would_be(known: Known) -> None:
    told = said(known, "reading_against", value=410.0, low=0.02, high=3.0)
    assert told.endswith("read 410 Ω; with this fault it would be 20 mΩ to 3 Ω.")
    for missing in ({}, {"usual_low": 1.0, "usual_high": 2.0}):
        assert "hardly as" in said(known, "reading_against", value=410.0, **missing)


def test_a_point_that_the_board_has_no_more_keeps_its_id(known: Known) -> None:
    told = said(known, "reading_for", point="k99/gone", value=1.0)
    assert told.startswith("k99/gone read 1 Ω")


def test_a_check_is_offered_by_the_names_of_what_it_tells_apart(known: Known) -> None:
    two = reason("tells_apart", suspects="p.cmain:short, p.dual:no_output")
    told = advice_words.why(known, two)
    assert told.startswith("It tells apart: ")
    assert " and " in told
    assert "p.cmain" not in told
    ways = reason("no_fault_or", suspects="p.cmain:short, p.cmain:leaky")
    assert ": short" in advice_words.why(known, ways)


def test_no_name_is_told_where_none_was_asked_for(known: Known) -> None:
    two = reason("tells_apart", suspects="p.cmain:short, p.dual:no_output")
    told = advice_words.why(known, two, is_hidden=True)
    assert told == "It is expected to tell most for its minutes."


def test_a_gate_is_told_by_its_name(known: Known) -> None:
    told = advice_words.why(known, reason("gate_of", check="k24"))
    assert "(k24) is allowed" in told
    told = advice_words.why(known, reason("not_worth_it", minutes=24.83))
    assert "would take 25 min" in told


@pytest.mark.parametrize(
    ("classes", "told"),
    [
        ("A", "part under 1 EUR"),
        ("B-C", "part 1 to 20 EUR"),
        ("D-E", "part over 20 EUR"),
        ("E", "part over 60 EUR"),
        ("", ""),
    ],
)
def test_a_cost_class_is_an_amount(classes: str, told: str) -> None:
    assert advice_words.cost(classes, "EUR") == told


def test_every_part_of_every_family_can_be_told_as_a_repair() -> None:
    for family in bridge.families():
        for part in family.parts.values():
            told = advice_words.repair(part, "EUR")
            assert part.cost_class in {"", "–"} or "part" in told
            assert not part.risk or "risk to the board" in told, part.risk


def test_every_bin_has_its_name() -> None:
    assert set(advice.SAID) == set(EDGES[:-1])
    enough = Bin(0.7, 0.9, 13, 18)
    assert advice_words.calibration(enough).replace(NBSP, " ") == (
        "In this shop, when it said about 80 %, it was right 13 of 18."
    )
    assert advice_words.interval(enough).replace(NBSP, " ") == (
        "49 % to 88 %, with 95 % confidence"
    )
    few = Bin(0.9, 1.0, 3, 3)
    assert advice_words.calibration(few).replace(NBSP, " ") == (
        "Parts proven here of which it said over 90 %: 3, too few yet."
    )
    assert advice_words.interval(few) == ""


def test_every_sentence_ends_as_one() -> None:
    assert all(text.endswith(".") for text in advice.WORDS.values())
    assert not {code for code in advice.WORDS if code not in words.SENTENCES}
    assert span(3.0, 3.0, "V").replace(NBSP, " ") == "3 V"
