"""Every code that the engine can emit has a sentence, and values are readable."""

import ast
import string
from collections.abc import Iterator
from itertools import combinations
from pathlib import Path

import pytest

from diagnostics import words
from diagnostics.engine.chips import Chip
from diagnostics.engine.errors import TypedValueError
from diagnostics.engine.meters import HANDHELD, standard_uncertainty
from diagnostics.engine.mosfet_rows import SETTLES, Found
from diagnostics.engine.quantities import parse
from diagnostics.engine.reasons import reason
from diagnostics.engine.super_io import Alive
from diagnostics.engine.verdicts import Observed, Settle, Word, Yardstick, judge
from diagnostics.words import (
    calculators,
    errors,
    family_doctor,
    gates,
    part_tests,
    verdicts,
)
from diagnostics.words.values import UNIT_NAMES, shown, source, span

ENGINE = Path(__file__).resolve().parents[2] / "diagnostics/engine"
TREES = {
    path.relative_to(ENGINE).with_suffix("").as_posix(): ast.parse(
        path.read_text("utf-8")
    )
    for path in ENGINE.rglob("*.py")
}
NBSP = "\N{NO-BREAK SPACE}"


# --- the codes, read from the engine's sources --------------------------------


def takers_of_codes() -> dict[str, int]:
    """Functions with a parameter ``code``, and where it stands; errors, first."""
    takers = {"Reason": 0}
    for tree in TREES.values():
        for node in ast.walk(tree):
            if isinstance(node, ast.ClassDef) and node.name.endswith("Error"):
                takers[node.name] = 0
            elif isinstance(node, ast.FunctionDef) and node.name != "__init__":
                names = [one.arg for one in node.args.args if one.arg != "self"]
                if "code" in names:
                    takers[node.name] = names.index("code")
    return takers


def named(tree: ast.Module, name: str) -> Iterator[str]:
    """The texts in what is assigned to a name of the module."""
    for node in tree.body:
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == name:
            for leaf in ast.walk(node.value):
                if isinstance(leaf, ast.Constant) and isinstance(leaf.value, str):
                    yield leaf.value


def codes_in(tree: ast.Module, given: ast.expr) -> list[str]:
    """The codes that an expression can stand for; none where it is handed on."""
    if isinstance(given, ast.Constant):
        return [str(given.value)]
    if isinstance(given, ast.IfExp):
        return [*codes_in(tree, given.body), *codes_in(tree, given.orelse)]
    if isinstance(given, ast.Subscript):
        return list(named(tree, ast.unparse(given.value)))
    if isinstance(given, ast.JoinedStr) and ast.unparse(given).count("{word}") == 1:
        pattern = ast.literal_eval(ast.unparse(given).removeprefix("f"))
        return [pattern.format(word=word.value) for word in (Word.WATCH, Word.UNCLEAR)]
    handed_on = ast.unparse(given)
    assert handed_on == "code" or handed_on.endswith(".code"), handed_on
    return []


def emitted() -> dict[str, set[str]]:
    """Every code of the engine, with the modules that emit it."""
    takers = takers_of_codes()
    found: dict[str, set[str]] = {}
    for module, tree in TREES.items():
        for node in ast.walk(tree):
            if not isinstance(node, ast.Call):
                continue
            name = ast.unparse(node.func).rpartition(".")[2]
            if name in takers and len(node.args) > takers[name]:
                for code in codes_in(tree, node.args[takers[name]]):
                    found.setdefault(code, set()).add(module)
    found.pop("only a value has a net value", None)  # ValueError is no engine error
    return found


def test_the_sources_are_really_read() -> None:
    assert {"under_lower", "empty", "beyond_range", "still_climbing"} <= set(emitted())


def test_every_code_has_a_sentence() -> None:
    missing = {c: sorted(by) for c, by in emitted().items() if c not in words.ERRORS}
    assert not missing


def test_no_sentence_is_left_over() -> None:
    worded = {*verdicts.WORDS, *errors.WORDS, *family_doctor.WORDS}
    assert not worded - set(emitted())


def test_every_sentence_of_the_calculators_is_said_by_one() -> None:
    """Some codes stand in tables, so every text of the calculators counts."""
    texts = {
        leaf.value
        for module, tree in TREES.items()
        if module.startswith("calculators/")
        for leaf in ast.walk(tree)
        if isinstance(leaf, ast.Constant)
    }
    assert not set(calculators.WORDS) - texts
    tables = {code for code in texts if str(code).startswith("cc_")} - {"cc_volts"}
    assert tables <= set(calculators.WORDS)


def test_no_code_is_worded_twice() -> None:
    five = (calculators, errors, family_doctor, gates, verdicts)
    for one, other in combinations(five, 2):
        assert not set(one.WORDS) & set(other.WORDS)


def test_every_way_to_settle_and_every_verdict_is_worded() -> None:
    assert set(verdicts.SETTLES) == {one.value for one in Settle}
    assert set(verdicts.NAMES) == {one.value for one in Word}
    assert words.settle_sentence("four_wire") == "Read it by four wires."
    assert words.verdict_name(Word.BAD) == "Bad"


@pytest.mark.parametrize(
    "text",
    [*verdicts.WORDS.values(), *errors.WORDS.values(), *calculators.WORDS.values()],
)
def test_a_sentence_is_one_and_names_its_fields(text: str) -> None:
    assert text[-1] in ".?"
    assert all(name for _, name, _, _ in string.Formatter().parse(text) if name == "")


# --- sentences as they are read -----------------------------------------------


def said(text: str, yardstick: Yardstick, mode: str) -> str:
    """The sentences of one typed reading's verdict, spaces made plain."""
    typed = parse(text, yardstick.unit)
    u = 0.0
    if typed.value is not None:
        u = standard_uncertainty(HANDHELD, mode, typed.value, typed.digit).u
    verdict = judge(
        Observed(typed.outcome, typed.value, u, mode, lead_ohms=0.2), yardstick
    )
    sentences = [words.sentence(one) for one in verdict.reasons]
    return " ".join(sentences).replace(NBSP, " ")


def test_a_bad_rail() -> None:
    rail = Yardstick("V", 3.135, 3.465, usual_low=3.28, usual_high=3.34, usual_count=14)
    assert said("0.41 V", rail, "V") == (
        "2.72 V under the lower limit of 3.135 V. "
        "The meter’s own error here is 0.03 V, so it cannot be the meter. "
        "The 14 good boards of this model read 3.28 to 3.34 V."
    )


def test_a_good_rail() -> None:
    rail = Yardstick("V", 3.135, 3.465, "std: PCIe")
    assert said("3.31 V", rail, "V") == "Inside the limits, 3.135 to 3.465 V (PCIe)."


def test_too_close_to_call() -> None:
    rail = Yardstick("V", 3.135, 3.465)
    assert said("3.130 V", rail, "V") == (
        "5 mV from the lower limit of 3.135 V: too close to call. "
        "The meter’s own error here is 0.02 V."
    )


def test_exactly_on_a_limit() -> None:
    rail = Yardstick("V", limit_high=3.465)
    assert said("3.465 V", rail, "V").startswith("0 V from the upper limit of 3.465 V")


def test_a_short_and_a_rail_that_differs() -> None:
    main = Yardstick(
        "ohm", limit_low=20, limit_source="family cp", usual_low=1e3, watch_low=300
    )
    assert said("0.4", main, "R").startswith(
        "0.2 Ω: under 20 Ω it counts as a short (common practice)."
    )
    assert said("500", main, "R").startswith(
        "499.8 Ω lies between 300 Ω and 1 kΩ, where boards differ."
    )


def test_a_count() -> None:
    errors_of_memory = Yardstick("1", limit_high=0.0)
    assert said("3", errors_of_memory, "W") == "3 over the upper limit of 0."


def test_what_was_seen_is_named_in_words() -> None:
    seen = reason("seen", category="stuck_memory")
    assert words.sentence(seen) == "Seen: stuck memory."


def test_an_error_in_words() -> None:
    with pytest.raises(TypedValueError) as refused:
        parse("5 W", "V")
    assert words.error_sentence(refused.value) == (
        "This is read in volts; 5 W looks like watts."
    )
    with pytest.raises(TypedValueError) as refused:
        parse("2000 V", "V")
    assert "2 kV" in words.error_sentence(refused.value).replace(NBSP, " ")


# --- values -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("low", "high", "unit", "text"),
    [
        (3.28, 3.34, "V", "3.28 to 3.34 V"),
        (450.0, 1200.0, "ohm", "450 Ω to 1.2 kΩ"),
        (1000.0, None, "ohm", "from 1 kΩ up"),
        (None, 0.5, "ohm", "up to 0.5 Ω"),
        (None, None, "ohm", ""),
        (0.0, 3.0, "1", "0 to 3"),
    ],
)
def test_a_span(low: float | None, high: float | None, unit: str, text: str) -> None:
    assert span(low, high, unit).replace(NBSP, " ") == text


@pytest.mark.parametrize(
    ("marked", "text"),
    [
        ("std: ATX", " (ATX)"),
        ("cp", " (common practice)"),
        ("family jd", " (judgement)"),
        ("jd: net of leads", " (judgement, net of leads)"),
        ("adapter label ±5 %", " (adapter label ±5 %)"),
        ("std", ""),
        ("", ""),
    ],
)
def test_a_source(marked: str, text: str) -> None:
    assert source(marked) == text


def test_the_key_of_a_value_says_its_unit() -> None:
    texts = shown(
        {"ohms": 0.2, "main_ohms": 4700, "volts": 0.41, "amps": 0.5, "boards": 14}
    )
    plain = {key: text.replace(NBSP, " ") for key, text in texts.items()}
    assert plain == {
        "ohms": "0.2 Ω",
        "main_ohms": "4.7 kΩ",
        "volts": "0.41 V",
        "amps": "500 mA",
        "boards": "14",
    }


def test_a_value_without_unit_or_none_at_all() -> None:
    assert shown({"value": 7, "key": "rails.main", "line": None, "error": 0.0}) == {
        "value": "7",
        "key": "rails.main",
        "line": "",
        "error": "0.0",
    }


def test_every_unit_that_can_be_typed_has_a_name() -> None:
    from diagnostics.engine.units import PHYSICAL, UNIT_OF

    assert {*PHYSICAL, *UNIT_OF.values()} == set(UNIT_NAMES)


# --- guided part tests ----------------------------------------------------------


def test_every_word_of_the_part_tests_is_used() -> None:
    assert not set(part_tests.WORDS) - set(emitted())


def test_every_result_of_a_part_test_has_its_name() -> None:
    names = {*Found, *Chip, *Alive}
    assert {one.value for one in names} == set(part_tests.NAMES)
    assert set(part_tests.LIKELY) <= set(part_tests.NAMES)
    assert words.part_result_name("bad", is_likely=True) == "Likely bad"
    assert words.part_result_name("redo", is_likely=True) == "No verdict: do it again"


def test_every_way_to_settle_a_part_test_is_worded() -> None:
    assert set(part_tests.SETTLES) == {*SETTLES, "own_map", "read_marking"}
    assert words.part_settle_sentence("lift_part").startswith("Lift the part")
