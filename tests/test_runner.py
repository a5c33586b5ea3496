"""The whole run's own arithmetic: nothing passes by not having run."""

from dataclasses import replace
from pathlib import Path

import pytest

from tests import house_numbers, machine
from tests.runner import (
    ON_BOTH,
    WORKERS,
    Outcome,
    Step,
    Wish,
    all_carried_out,
    alone,
    carry_out,
    left_out,
    read_report,
    report,
    steps,
    with_the_second,
)

EVERYTHING = Wish(only_sqlite=False, no_browser=False, rest=())
CLEAN = Outcome("SQLite", is_clean=True, seconds=1.0, passed=3)


@pytest.fixture
def uncounted(monkeypatch: pytest.MonkeyPatch) -> None:
    """The house numbers take seconds, and say the same each time."""
    monkeypatch.setattr(house_numbers, "show", lambda: None)


def written(folder: Path, *cases: str) -> Path:
    file = folder / "report.xml"
    inner = "".join(
        f'<testcase name="t" time="0.1">{case}</testcase>' for case in cases
    )
    file.write_text(f"<testsuites><testsuite>{inner}</testsuite></testsuites>")
    return file


def test_passed_and_failed_are_counted(tmp_path: Path) -> None:
    file = written(tmp_path, "", "", "<failure/>", "<error/>")
    outcome = read_report("SQLite", file, True, 1.0)
    assert (outcome.passed, outcome.failed, outcome.is_clean) == (2, 2, False)


def test_a_skipped_test_is_not_clean(tmp_path: Path) -> None:
    outcome = read_report("SQLite", written(tmp_path, "", "<skipped/>"), True, 1.0)
    assert (outcome.skipped, outcome.is_clean) == (1, False)


def test_a_run_without_tests_or_report_is_not_clean(tmp_path: Path) -> None:
    assert not read_report("SQLite", written(tmp_path), True, 1.0).is_clean
    assert not read_report("SQLite", tmp_path / "none.xml", True, 1.0).is_clean


def test_too_little_coverage_is_not_clean_though_all_passed(tmp_path: Path) -> None:
    assert not read_report("SQLite", written(tmp_path, ""), False, 1.0).is_clean


FAILED_ONE = Outcome("C", False, 9.0, passed=5, failed=1, failures=("t::one",))


def test_what_passes_alone_is_clean_and_named(
    uncounted: None,
    capsys: pytest.CaptureFixture[str],
) -> None:
    both = with_the_second(FAILED_ONE, Outcome("C again", True, 2.0, passed=1))
    assert (both.passed, both.failed, both.is_clean, both.seconds) == (6, 0, True, 11.0)
    assert report([both], [], 11.0) == 0
    assert "shaky: t::one" in capsys.readouterr().out


@pytest.mark.parametrize(
    "second",
    [
        Outcome("C again", False, 2.0, failed=1),
        Outcome("C again", True, 2.0, passed=0),
        Outcome("C again", True, 2.0, passed=3),
    ],
)
def test_what_fails_again_or_did_not_run_again_stays_failed(second: Outcome) -> None:
    both = with_the_second(FAILED_ONE, second)
    assert (both.failed, both.is_clean, both.shaky) == (1, False, ())


def test_a_skipped_test_stays_unclean_beside_a_shaky_one() -> None:
    both = with_the_second(
        replace(FAILED_ONE, skipped=1), Outcome("C again", True, 2.0, passed=1)
    )
    assert not both.is_clean


def test_all_but_the_engine_are_asked_again_and_that_alone(tmp_path: Path) -> None:
    whole = steps(EVERYTHING, tmp_path, "postgresql://db")
    asked = [step for step in whole if step.may_be_shaky]
    assert [step.name for step in asked] == [
        "SQLite",
        "PostgreSQL",
        "Chromium on SQLite",
        "Chromium on PostgreSQL",
    ]
    second = alone(asked[-1])
    assert "-n" not in second.arguments
    assert "--last-failed" in second.arguments
    assert "not one_database" in second.arguments
    assert second.report != asked[-1].report
    assert sum(a.startswith("--junitxml=") for a in second.arguments) == 1


def a_step_of(tmp_path: Path, test: str) -> Step:
    (tmp_path / "test_it.py").write_text(f"from pathlib import Path\n\n{test}\n")
    report_file = tmp_path / "first.xml"
    ini = ("-c", "/dev/null", f"--rootdir={tmp_path}", f"--junitxml={report_file}")
    kept = ("-o", f"cache_dir={tmp_path}/cache", "-p", "no:django")
    arguments = ("-m", "pytest", "-q", *ini, *WORKERS, *kept, str(tmp_path))
    return Step("C", arguments, report=report_file, may_be_shaky=True)


PASSES = "def test_other():\n    pass\n"
ONCE = (
    "def test_it():\n    seen = Path('{0}')\n    assert seen.exists() or seen.touch()"
)


def test_pytest_itself_is_asked_again_for_what_failed(tmp_path: Path) -> None:
    once = ONCE.format(tmp_path / "seen")
    outcome = carry_out(a_step_of(tmp_path, f"{once}\n\n{PASSES}"))
    assert (outcome.passed, outcome.failed, outcome.is_clean) == (2, 0, True)
    assert len(outcome.shaky) == 1
    assert "test_it" in outcome.shaky[0]


def test_a_test_that_always_fails_stays_failed(tmp_path: Path) -> None:
    outcome = carry_out(a_step_of(tmp_path, f"def test_it():\n    assert 0\n{PASSES}"))
    assert (outcome.passed, outcome.failed, outcome.is_clean) == (1, 1, False)


@pytest.mark.parametrize(
    ("outcomes", "code"),
    [
        ([CLEAN], 0),
        ([CLEAN, Outcome("mypy", False, 1.0)], 1),
        ([Outcome("mypy", True, 1.0)], 1),
        ([], 1),
    ],
)
def test_the_exit_code_needs_clean_steps_and_a_test(
    uncounted: None, outcomes: list[Outcome], code: int
) -> None:
    assert report(outcomes, [], 1.0) == code


def test_the_last_line_is_the_sum(capsys: pytest.CaptureFixture[str]) -> None:
    report([CLEAN, Outcome("PostgreSQL", False, 1.0, passed=2, failed=1)], [], 2.0)
    assert capsys.readouterr().out.splitlines()[-1] == "5 passed, 1 failed"


def test_what_was_left_out_is_said(
    uncounted: None, capsys: pytest.CaptureFixture[str]
) -> None:
    wish = Wish(only_sqlite=True, no_browser=True, rest=())
    report([CLEAN], left_out(wish), 1.0)
    said = capsys.readouterr().out
    assert "Left out: PostgreSQL (--only-sqlite)" in said
    assert "Left out: the browser tests (--no-browser)" in said
    assert left_out(EVERYTHING) == []


def test_the_whole_run_has_both_databases_and_the_browser(tmp_path: Path) -> None:
    names = [step.name for step in steps(EVERYTHING, tmp_path, "postgresql://x/y")]
    assert names == [
        "what the tests copy",
        "ruff",
        "ruff format",
        "mypy",
        "migrations",
        "check --deploy",
        "engine",
        "SQLite",
        "PostgreSQL",
        "Chromium on SQLite",
        "Chromium on PostgreSQL",
    ]


def test_what_goes_beside_is_done_before_the_first_tests(tmp_path: Path) -> None:
    """A check of the source doesn't wait for it; what fails beside is not clean."""
    made, begun = tmp_path / "made", tmp_path / "begun"
    wait = f"import pathlib, time\nwhile not pathlib.Path({str(begun)!r}).exists():"
    leave = f"pathlib.Path({str(made)!r}).touch(); raise SystemExit(3)"
    slow = f"{wait} time.sleep(0.01)\n{leave}"
    check = f"import pathlib; pathlib.Path({str(begun)!r}).touch()"
    tests = a_step_of(
        tmp_path, f"def test_it():\n    assert Path({str(made)!r}).exists()"
    )
    beside = Step("beside", ("-c", slow), is_beside=True)
    found = all_carried_out([beside, Step("check", ("-c", check)), tests])
    assert [(one.name, one.is_clean) for one in found] == [
        ("check", True),
        ("beside", False),
        ("C", True),
    ]


def test_paths_go_to_pytest_on_both_databases(tmp_path: Path) -> None:
    wish = Wish(only_sqlite=False, no_browser=False, rest=("tests/engine", "-x"))
    found = steps(wish, tmp_path, "postgresql://x/y")
    assert [step.name for step in found] == ["SQLite", "PostgreSQL"]
    assert all(step.arguments[-2:] == ("tests/engine", "-x") for step in found)
    assert [set(ON_BOTH) <= set(step.arguments) for step in found] == [False, True]


@pytest.mark.parametrize("may_be_empty", [True, False])
def test_no_test_is_clean_only_where_what_was_named_asks_no_database(
    tmp_path: Path, may_be_empty: bool
) -> None:
    leave = "raise SystemExit(5)"  # as pytest does where it found none
    step = Step("none", ("-c", leave), report=tmp_path / "none.xml")
    outcome = carry_out(replace(step, may_be_empty=may_be_empty))
    assert (outcome.is_clean, outcome.passed) == (may_be_empty, 0)


def test_a_person_s_own_postgresql_comes_first(monkeypatch: pytest.MonkeyPatch) -> None:
    url = "postgresql://bench@localhost/coldrail"
    monkeypatch.setenv("DATABASE_URL", url)
    with machine.postgres() as given:
        assert given == url
    monkeypatch.setenv("DATABASE_URL", "sqlite:///x")
    assert machine.outside_database() is None


def test_what_is_missing_is_asked_for_by_name(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("DATABASE_URL", raising=False)
    monkeypatch.setattr(machine, "server_folder", lambda: None)
    monkeypatch.setattr(machine, "chromium", lambda: None)
    monkeypatch.setattr(machine, "can_load", lambda library: False)
    wanted = ["postgresql", "chromium", "libatomic1"]
    assert machine.packages_to_ask_for(True, True) == wanted
    assert machine.packages_to_ask_for(True, False) == ["postgresql"]
    assert machine.packages_to_ask_for(False, False) == []


def test_function_lengths_include_methods() -> None:
    method = "class A:\n    def one(self) -> int:\n        return 1\n"
    source = f"{method}\ndef two():\n    pass\n"
    found = house_numbers.functions_of(source, "m")
    assert [(f.where, f.lines, f.is_typed) for f in found] == [
        ("m:two", 2, False),
        ("m:one", 2, True),
    ]
