"""What the doctor of families finds, and that ours are without a mistake."""

import pytest

from diagnostics.deadboards.family import HEAD
from diagnostics.engine.boards import FAMILY_IDS
from diagnostics.engine.family_doctor import Finding, examine
from diagnostics.engine.family_load import FOLDER, texts_of
from tests.engine.small_board import WITH_CIRCUIT
from tests.engine.small_family import SMALL, line_of, spoilt

LAPTOPS = sorted(set(FAMILY_IDS) - {"desktop_atx"})


def found(text: str) -> dict[str, list[Finding]]:
    """The findings of a small family by code."""
    by_code: dict[str, list[Finding]] = {}
    for finding in examine({"small.toml": text}):
        by_code.setdefault(finding.reason.code, []).append(finding)
    return by_code


def only(text: str, code: str) -> Finding:
    (finding,) = found(text)[code]
    assert finding.file == "small.toml"
    return finding


@pytest.mark.parametrize(
    "family",
    ["desktop_atx", *(pytest.param(one, marks=pytest.mark.long) for one in LAPTOPS)],
)
def test_our_families_are_without_a_mistake(family: str) -> None:
    findings = examine(texts_of(FOLDER / f"{family}.toml"))
    assert [one for one in findings if one.is_wrong] == []
    assert all(one.file in texts_of(FOLDER / f"{family}.toml") for one in findings)
    assert all(one.line for one in findings)


@pytest.mark.long
def test_so_is_the_benchmarks() -> None:
    assert [one for one in examine(texts_of(HEAD)) if one.is_wrong] == []


def test_the_small_family_is_nearly_well() -> None:
    """Nobody makes its power-good, and looking tells the rail tree nothing."""
    assert set(found(SMALL)) == {"not_made_once", "tells_nothing"}
    assert only(SMALL, "tells_nothing").reason.values == {"check": "k01"}


def test_what_the_reading_refuses_is_the_one_finding() -> None:
    text = spoilt('where = "jack pins"', 'wehre = "jack pins"')
    (finding,) = examine({"small.toml": text})
    assert finding.is_wrong
    assert (finding.reason.code, finding.line) == (
        "missing_key",
        line_of(text, '[rails."in.jack"]'),
    )


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('points = ["in.jack"]', 'points = ["in.jak"]', "unknown_reference"),
        ("needs = [\"in.jack\"]\nenable", 'needs = ["core"]\nenable', "loop_of_needs"),
        ('power_in = ["k01", "k05"]', 'power_in = ["k05"]', "not_in_a_walk"),
        ("weight = 3", "weight = 0", "weight_not_positive"),
    ],
)  # fmt: skip
def test_what_it_names_of_the_strict_reading(old: str, new: str, code: str) -> None:
    (finding,) = examine({"small.toml": spoilt(old, new)})
    assert (finding.reason.code, finding.is_wrong) == (code, True)
    assert finding.line is not None


def test_a_refusal_without_a_line_is_one_too() -> None:
    from diagnostics.engine.errors import FamilyError
    from diagnostics.engine.family_doctor import refusal

    said = FamilyError("unknown_patch", file="board model", line=None, key="x")
    assert (refusal(said).file, refusal(said).line) == ("board model", None)


# --- mistakes -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "why"),
    [("rails.core.volts.low", "empty_span"), ("rails.x", "unknown_patch")],
)
def test_an_option_that_makes_no_sense_when_chosen(key: str, why: str) -> None:
    text = SMALL + f'\n[variants.input.options.odd.set]\n"{key}" = 9.0\n'
    finding = only(text, "option_refused")
    assert finding.is_wrong
    assert finding.reason.values == {"option": "odd", "variant": "input", "why": why}
    assert finding.line == line_of(text, "[variants.input.options.odd")


def test_a_part_and_a_block_of_one_id() -> None:
    """Each may be marked as not fitted by its id, and it must be clear which."""
    text = SMALL.replace('[parts."p.jack"]', "[parts.input]")
    finding = only(text, "shared_id")
    assert (finding.is_wrong, finding.line) == (True, line_of(text, "[parts.input]"))


def test_a_rail_that_its_block_does_not_make() -> None:
    text = spoilt('makes = ["core"]', "makes = []")
    assert only(text, "not_made_there").line == line_of(text, 'block = "cpu"')


def test_a_signal_that_nobody_makes_or_two() -> None:
    """The small family's power-good is made by nobody: let its block make it."""
    text = spoilt('makes = ["core"]', 'makes = ["core", "good"]')
    assert "not_made_once" not in found(text)
    twice = text.replace('makes = ["in.jack"]', 'makes = ["in.jack", "good"]')
    assert only(twice, "not_made_once").reason.values == {"id": "good"}


def test_powered_checks_without_any_gate() -> None:
    text = spoilt('gates = ["k05", "k18"]', "gates = []")
    assert only(text, "no_power_gates").is_wrong


def test_a_gate_that_needs_power_can_never_be_read_first() -> None:
    text = spoilt('needs = ["k05"]', 'needs = ["k05", "k48"]')
    finding = only(text, "gate_needs_power")
    assert finding.reason.values == {"gate": "k18", "check": "k48"}


def test_a_check_walked_before_what_it_needs() -> None:
    text = spoilt('cpu = ["k18", "k48"]', 'cpu = ["k48", "k18"]').replace(
        'gates = ["k05"]', 'gates = ["k18"]'
    )
    finding = only(text, "walked_too_early")
    assert finding.reason.values == {"check": "k48", "needed": "k18"}


# --- worth knowing --------------------------------------------------------------


def test_a_failure_that_no_check_shows() -> None:
    text = spoilt(
        'weight = 3, effect = "gone", rails = ["in.jack"]',
        'weight = 3, effect = "none"',
    )
    finding = only(text, "unseen")
    assert not finding.is_wrong
    assert finding.reason.values == {"part": "p.jack", "mode": "open"}
    assert finding.line == line_of(text, 'effect = "none"')


def test_failures_that_nothing_tells_apart() -> None:
    """Another part with the same short; two modes of one part need no telling."""
    more = SMALL[SMALL.index('[parts."p.jack"]') : SMALL.index('[parts."p.stage"]')]
    text = SMALL + "\n" + more.replace("p.jack", "p.cap")
    said = [one.reason.values["modes"] for one in found(text)["not_told_apart"]]
    assert said == ["p.jack:open, p.cap:open", "p.jack:short, p.cap:short"]
    doubled = spoilt(
        'id = "short", name = "short", weight = 1, effect = "short"',
        'id = "short", name = "short", weight = 1, effect = "gone"',
    )
    assert "not_told_apart" not in found(doubled)


def test_a_rail_that_no_check_reads() -> None:
    text = SMALL.replace('points = ["core", {', "points = [{")
    assert only(text, "rail_unread").line == line_of(text, "[rails.core]")


def test_a_block_without_parts() -> None:
    text = spoilt(
        'name = "power stage"\nblock = "cpu"', 'name = "power stage"\nblock = "input"'
    )
    assert only(text, "no_parts").reason.values == {"id": "cpu"}


def test_a_failure_shown_by_one_option_alone_is_seen() -> None:
    """The doctor looks at the plain board and at each that leaves other things out."""
    text = SMALL.replace(
        "[variants.input.options.plain]",
        "[variants.input.options.plain]\n"
        'not_fitted = ["k05/in.jack", "k48/core", "k48/good"]',
    )
    bare = text.replace('not_fitted = ["k01/top"]', "not_fitted = []")
    assert "unseen" not in found(bare)


def test_mistakes_come_first() -> None:
    text = SMALL.replace('[parts."p.jack"]', "[parts.input]")
    wrong = [one.is_wrong for one in examine({"small.toml": text})]
    assert wrong == sorted(wrong, reverse=True)


# --- by the circuit -------------------------------------------------------------------


def test_a_failure_that_the_circuit_shows_nowhere() -> None:
    """Its own circuit decides, whatever the effect column says."""
    text = WITH_CIRCUIT.replace('open = [{ dead = "adapter" }]', "open = []")
    finding = only(text, "unseen")
    assert finding.reason.values == {"part": "p.jack", "mode": "open"}


def test_failures_that_read_the_very_same_by_the_circuit() -> None:
    alike = WITH_CIRCUIT.replace(
        'open = [{ dead = "adapter" }]', 'open = [{ short = "core" }]'
    ).replace('  { bridge = ["in.jack", "phase_1"] },\n', '  { short = "core" },\n')
    alike = alike.replace(
        '  { leak = "core", ohms = [0.02, 0.3], chance = 0.5 },\n', ""
    )
    assert only(alike, "not_told_apart").reason.values == {
        "modes": "p.jack:open, p.stage:high"
    }
    assert "not_told_apart" not in found(WITH_CIRCUIT)


def test_a_change_that_changes_nothing_beside_the_others() -> None:
    """Without its adapter the core is down anyway; a leak by chance does change."""
    text = WITH_CIRCUIT.replace(
        'open = [{ dead = "adapter" }]',
        'open = [{ dead = "adapter" }, { dead = "core" }]',
    )
    finding = only(text, "change_without_effect")
    assert finding.reason.values == {"part": "p.jack", "mode": "open", "number": 2}
    assert finding.line == line_of(text, "open = [{ dead")
    assert "change_without_effect" not in found(WITH_CIRCUIT)


def test_the_ways_of_failing_of_an_option_alone_are_looked_at_too() -> None:
    """Its boards are read where they can fail in ways that the plain one can't."""
    text = WITH_CIRCUIT.replace('default = "plain"', 'default = "bare"')
    text = text.replace('not_fitted = ["k01/top"]', 'not_fitted = ["core"]')
    assert "unseen" not in found(text)
