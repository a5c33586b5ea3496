"""From entries as typed to a calculator's frozen input, and the registry as data."""

from dataclasses import fields, is_dataclass

import pytest

from diagnostics.engine.boards import load_family
from diagnostics.engine.calculators.entries import UnreadEntries, fill
from diagnostics.engine.calculators.registry import CALCULATORS, serving
from diagnostics.engine.calculators.shape import Calculator, Kind
from diagnostics.engine.units import PHYSICAL, SHOWN_PREFIXES

INJECTION = {
    "nominal_volts": "19",
    "ohms": "0,21",
    "set_volts": "1.0",
    "set_amperes": "500 mA",
    "seconds": "30",
    "board_kind": "thin",
    "high_side": "passed",
    "is_pack_out": "on",
    "is_adapter_out": "on",
    "are_modules_out": "on",
    "resolution_volts": "1 mV",
}


def refused(calculator: str, **typed: str) -> dict[str, str]:
    with pytest.raises(UnreadEntries) as error:
        fill(CALCULATORS[calculator], typed)
    return {name: one.code for name, one in error.value.errors.items()}


def test_entries_are_typed_like_readings() -> None:
    typed = {"drop_volts": "18,5 mV", "ohms": "R010", "resolution_volts": "0.1mV"}
    found = fill(CALCULATORS["sense"], typed)
    assert found.values == pytest.approx(
        {"drop_volts": 0.0185, "ohms": 0.010, "resolution_volts": 0.0001}
    )
    assert CALCULATORS["sense"].work(found.given).amperes == pytest.approx(1.85)


def test_per_cent_is_a_fraction_inside() -> None:
    typed = {"top_ohms": "10k", "bottom_ohms": "4k7", "reference_tolerance": "2"}
    typed["resistor_tolerance"] = "1 %"
    given = fill(CALCULATORS["divider"], typed).given
    assert (given.resistor_tolerance, given.reference_tolerance) == (0.01, 0.02)
    assert (given.bottom_ohms, given.reference_volts, given.rail_volts) == (
        4700.0,
        None,
        (),
    )


@pytest.mark.parametrize(
    "points",
    [
        "447 mV\n441 mV\n434 mV\n429 mV\n431 mV",
        "447, 441, 434, 429, 431 mV",
        "447; 441; 434; 429; 431 mV",
        "0,447; 0,441; 0,434; 0,429; 0,431",
        "447 mV; 0.441 V; 434 mV; 429000 uV; 431 mV;",
    ],
)
def test_many_values_in_one_field(points: str) -> None:
    given = fill(CALCULATORS["injection"], {**INJECTION, "points": points}).given
    assert given.points == pytest.approx((0.447, 0.441, 0.434, 0.429, 0.431))


def test_points_may_be_named() -> None:
    points = "coil: 447\nC-a: 429\n431 mV"
    given = fill(CALCULATORS["injection"], {**INJECTION, "points": points}).given
    assert given.names == ("coil", "C-a", "")
    assert given.points == pytest.approx((0.447, 0.429, 0.431))
    ground = {**INJECTION, "ground_points": "screw: 3 mV"}
    assert fill(CALCULATORS["injection"], ground).given.ground_names == ("screw",)


def test_names_go_nowhere_where_nothing_holds_them() -> None:
    typed = {"drop_volts": "a: 9 mV; b: 9.4 mV", "dcr_ohms": "0.9 mΩ"}
    assert fill(CALCULATORS["phases"], typed).given.drop_volts == (0.009, 0.0094)


def test_a_capacity_in_either_unit_but_in_one() -> None:
    by_charge = fill(CALCULATORS["pack"], {"full": "3300 mAh", "design": "4400 mAh"})
    assert CALCULATORS["pack"].work(by_charge.given).percent == pytest.approx(75)
    assert refused("pack", full="38.4 Wh", design="4400 mAh") == {
        "design": "mixed_units"
    }


@pytest.mark.parametrize(
    ("calculator", "typed", "errors"),
    [
        (
            "sense",
            {"drop_volts": "x", "ohms": "", "resolution_volts": "OL"},
            {
                "drop_volts": "not_a_value",
                "ohms": "is_needed",
                "resolution_volts": "no_value_there",
            },
        ),
        (
            "sense",
            {"drop_volts": "5 ohm", "ohms": "-1", "resolution_volts": "1 mV"},
            {"drop_volts": "wrong_dimension", "ohms": "negative_ohms"},
        ),
        ("marking", {"text": ""}, {"text": "is_needed"}),
        ("marking", {"text": "9" * 41}, {"text": "too_long"}),
        (
            "phases",
            {"drop_volts": "\n".join(["1"] * 49), "dcr_ohms": "1"},
            {"drop_volts": "too_many"},
        ),
        (
            "phases",
            {"drop_volts": "1\n" * 501, "dcr_ohms": "1"},
            {"drop_volts": "too_long"},
        ),
        (
            "phases",
            {"drop_volts": "OL; 1", "dcr_ohms": "1"},
            {"drop_volts": "no_value_there"},
        ),
        (
            "injection",
            {**INJECTION, "board_kind": "x"},
            {"board_kind": "unknown_choice"},
        ),
        ("pack", {"full": "1 V", "design": "1"}, {"full": "wrong_dimension"}),
    ],
)
def test_each_wrong_entry_is_named(
    calculator: str, typed: dict[str, str], errors: dict[str, str]
) -> None:
    assert refused(calculator, **typed) == errors


@pytest.mark.parametrize("text", ["9**9**9", "1e99", "٣", "4" * 40, "1e-99 V", "nan"])
def test_hostile_text_is_refused_or_read_never_hung(text: str) -> None:
    typed = {"drop_volts": text, "ohms": "1", "resolution_volts": "1 mV"}
    try:
        found = fill(CALCULATORS["sense"], typed)
    except UnreadEntries:
        return
    assert CALCULATORS["sense"].work(found.given).amperes == pytest.approx(0)


# --- the registry ---------------------------------------------------------------


def test_fourteen_calculators_in_the_order_of_the_brief() -> None:
    first = ["divider", "marking", "sense", "buck", "injection", "low_ohms", "phases"]
    rest = ["standby", "discharge", "pack", "thermal", "usb_c", "mosfet_drop"]
    assert list(CALCULATORS) == [*first, *rest, "diode_check"]


@pytest.mark.parametrize("calculator", CALCULATORS.values(), ids=list(CALCULATORS))
def test_a_description_fits_its_frozen_shapes(calculator: Calculator) -> None:
    given = {field.name for field in fields(calculator.given)}
    assert is_dataclass(calculator.given)
    assert calculator.given.__dataclass_params__.frozen  # type: ignore[attr-defined]
    assert {one.name for one in calculator.inputs} <= given
    needed = {
        f.name for f in fields(calculator.given) if f.default is f.default_factory
    }
    assert needed <= {one.name for one in calculator.inputs}
    assert all(one.unit in PHYSICAL for one in calculator.inputs)
    units = {*PHYSICAL, *SHOWN_PREFIXES}
    assert all(one.unit in units for one in calculator.outputs)
    assert calculator.input(calculator.inputs[0].name) is calculator.inputs[0]
    assert calculator.input("nothing") is None


@pytest.mark.parametrize("calculator", CALCULATORS.values(), ids=list(CALCULATORS))
def test_every_default_can_be_read(calculator: Calculator) -> None:
    typed = {one.name: one.default or "1" for one in calculator.inputs}
    assert set(fill(calculator, typed).values) == set(typed)


def test_each_serves_checks_that_there_are_and_reads_numbers_there() -> None:
    checks = load_family("laptop_barrel").checks
    elsewhere = {"k09", "k25"}  # of the USB-C family
    for calculator in CALCULATORS.values():
        assert set(calculator.serves) - elsewhere <= set(checks)
        for output in calculator.outputs:
            assert set(output.reads) <= set(calculator.serves)
            for check in output.reads:
                units = {point.unit for point in checks[check].points}
                assert output.unit in units, (calculator.id, check)


def test_what_serves_a_check() -> None:
    assert [one.id for one in serving("k55")] == ["sense"]
    assert [one.id for one in serving("k53")] == ["injection"]
    assert serving("k01") == ()


def test_injection_shows_its_caution() -> None:
    assert "injection" in CALCULATORS["injection"].cautions
    assert CALCULATORS["injection"].inputs[8].kind is Kind.KNOWN
