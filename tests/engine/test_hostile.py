"""Hostile strings in a reading's field: refused in words, or read rightly, soon."""

import re
import sys
import tomllib
from pathlib import Path
from types import FrameType
from typing import Any

import pytest

from diagnostics import words
from diagnostics.engine import quantities
from diagnostics.engine.boards import Patch, board_of, load_family
from diagnostics.engine.errors import FamilyError, MeterError, TypedValueError
from diagnostics.engine.meters import MeterRange, MeterSpec, standard_uncertainty
from diagnostics.engine.quantities import LONGEST, parse

HOSTILE: dict[str, Any] = tomllib.loads(
    Path(__file__).with_name("hostile.toml").read_text(encoding="utf-8")
)
READ: list[tuple[str, float | str]] = HOSTILE.pop("read")["values"]
REFUSED = [
    (text, code)
    for code, kinds in HOSTILE.items()
    for texts in kinds.values()
    for text in texts
]
# Too long for a data file, and a half of a character that no file can hold.
LONG = [
    "9" * (LONGEST + 1),
    "3.3 V" + " " * LONGEST,
    "9**" * 1000,
    "1,111" * 10_000,
    "3.3\N{COMBINING ACUTE ACCENT}" * 100_000,
    "(" * 1_000_000,
]
ALL = [(t, c) for t, c in REFUSED] + [(t, "too_long") for t in LONG]
LOST_HALF = "\ud8003"
STEPS = 500  # lines of Python; 50 ms would be some hundred thousand


def shown(text: str) -> str:
    return ascii(text)[:40]


def steps_of(text: str, unit: str) -> int:
    """Lines of Python run to read or refuse a text."""
    count = 0

    def counted(_frame: FrameType, event: str, _arg: object) -> Any:
        nonlocal count
        count += event == "line"
        return counted

    before = sys.gettrace()
    sys.settrace(counted)
    try:
        parse(text, unit)
    except TypedValueError:
        pass
    finally:
        sys.settrace(before)
    return count


def test_there_are_enough_of_them_and_none_twice() -> None:
    texts = [text for text, _ in [*ALL, *READ]]
    assert len(texts) == len(set(texts)) >= 300


@pytest.mark.parametrize(("text", "code"), ALL, ids=[shown(text) for text, _ in ALL])
def test_a_hostile_string_is_refused_in_words(text: str, code: str) -> None:
    with pytest.raises(TypedValueError) as refused:
        parse(text, "V")
    assert refused.value.code == code
    sentence = words.error_sentence(refused.value)
    assert sentence[-1] in ".?"
    assert len(sentence) < 200
    assert text.strip() not in sentence or len(text.strip()) < 3


@pytest.mark.parametrize(("text", "value"), READ, ids=[shown(t) for t, _ in READ])
def test_what_looks_hostile_and_is_a_value_is_read_rightly(
    text: str, value: float | str
) -> None:
    typed = parse(text, "V")
    assert typed.value == (value if isinstance(value, float) else None)
    assert (typed.outcome.value == "ol") is (value == "ol")


@pytest.mark.parametrize("unit", ["ohm", "A", "Hz", "%", "1"])
def test_nothing_of_it_is_a_value_elsewhere_unless_it_is_plainly_one(
    unit: str,
) -> None:
    """As amperes, hertz or a count: refused, or a number that stands there."""
    for text, _code in ALL:
        try:
            typed = parse(text, unit)
        except TypedValueError:
            continue
        assert re.fullmatch(r"[0-9.,ekM %A]+", text), ascii(text)
        assert typed.value is not None


def test_half_a_character_is_refused() -> None:
    with pytest.raises(TypedValueError):
        parse(LOST_HALF, "V")


# --- no hang ------------------------------------------------------------------


def test_each_is_done_with_in_a_few_steps() -> None:
    """Counted in lines, not in seconds: a busy machine is no fault."""
    most = max((steps_of(text, "V"), text) for text, _ in [*ALL, *READ])
    assert 10 < most[0] < STEPS, most


class Watched:
    """A pattern that remembers the longest text it was asked about."""

    def __init__(self, pattern: re.Pattern[str]) -> None:
        self.pattern, self.longest = pattern, 0

    def fullmatch(self, text: str) -> re.Match[str] | None:
        self.longest = max(self.longest, len(text))
        return self.pattern.fullmatch(text)


def test_nothing_long_reaches_a_pattern(monkeypatch: pytest.MonkeyPatch) -> None:
    """A folded Ω becomes three letters; no other character grows."""
    names = ("MARK", "PLAIN", "GROUPED", "DECIMAL", "GROUP_OR_FRACTION")
    watched = {name: Watched(getattr(quantities, name)) for name in names}
    for name, one in watched.items():
        monkeypatch.setattr(quantities, name, one)
    for text in [text for text, _ in ALL] + ["Ω" * LONGEST]:
        with pytest.raises(TypedValueError):
            parse(text, "V")
    assert 0 < max(one.longest for one in watched.values()) <= 3 * LONGEST


# --- the other bad input ----------------------------------------------


def refused(text: str, unit: str) -> str:
    with pytest.raises(TypedValueError) as caught:
        parse(text, unit)
    return words.error_sentence(caught.value).replace("\N{NO-BREAK SPACE}", " ")


@pytest.mark.parametrize(
    ("text", "unit", "sentence"),
    [
        ("3.3 V", "ohm", "This is read in ohms; 3.3 V looks like volts."),
        (" 3,3V ", "ohm", "This is read in ohms; 3,3V looks like volts."),
        ("4R7", "V", "This is read in volts; 4R7 looks like ohms."),
        ("20 mA", "V", "This is read in volts; 20 mA looks like amperes."),
        ("100 nF", "ohm", "This is read in ohms; 100 nF looks like farads."),
        ("5 V", "1", "This is read in plain numbers; 5 V looks like volts."),
        ("1.2 Ah", "A", "This is read in amperes; 1.2 Ah looks like ampere-hours."),
    ],
)
def test_a_wrong_dimension_names_both_and_what_was_typed(
    text: str, unit: str, sentence: str
) -> None:
    assert refused(text, unit) == sentence


def test_negative_ohms_ask_for_power_or_charge() -> None:
    assert refused("-12 ohm", "ohm").endswith("power or charge on the board?")


@pytest.mark.parametrize("text", ["1001 V", "-1001", "5 MV", "9e9"])
def test_volts_beyond_any_bench_are_refused(text: str) -> None:
    assert "beyond anything on a bench" in refused(text, "V")


@pytest.mark.parametrize(
    ("percent", "counts"), [(0.0, 0.0), (-0.5, 2.0), (0.5, -2.0), (-0.5, -2.0)]
)
def test_a_meter_without_accuracy_is_refused(percent: float, counts: float) -> None:
    bare = MeterSpec("bare", (MeterRange("V", 60.0, percent, counts, 0.01),))
    with pytest.raises(MeterError) as caught:
        standard_uncertainty(bare, "V", 3.3)
    assert caught.value.code == "no_accuracy"
    assert "“bare” has no accuracy" in words.error_sentence(caught.value)


FAMILY = load_family("laptop_barrel")


@pytest.mark.parametrize(
    ("key", "value", "code"),
    [
        ("rails.sb.33.volts.low", 3.6, "empty_span"),
        ("rails.sb.33.volts.high", 3.0, "empty_span"),
        ("rails.sb.33.ohms.short_below", 1e6, "bands_out_of_order"),
        ("rails.sb.33.ohms.short_below", -1.0, "bands_out_of_order"),
        ("rails.main.diode", [0.6, 0.4], "empty_span"),
        ("rails.sb.33.volts.low", float("nan"), "wrong_type"),
        ("rails.sb.33.volts.high", float("inf"), "wrong_type"),
        ("rails.sb.33.volts.low", "3.1 V", "wrong_type"),
        ("rails.sb.33.volts.low", True, "wrong_type"),
    ],
)
def test_limits_that_cross_or_are_no_numbers_are_refused(
    key: str, value: Any, code: str
) -> None:
    with pytest.raises(FamilyError) as caught:
        board_of(FAMILY, [Patch(key, value)])
    assert caught.value.code == code
    assert caught.value.values["file"] == "board model"
