"""The whole run's own arithmetic: nothing passes by not having run."""

from pathlib import Path

import pytest

from tests import house_numbers, machine
from tests.runner import Outcome, Wish, left_out, read_report, report, steps

EVERYTHING = Wish(only_sqlite=False, no_browser=False, rest=())
CLEAN = Outcome("SQLite", is_clean=True, seconds=1.0, passed=3)


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
    outcomes: list[Outcome], code: int
) -> None:
    assert report(outcomes, []) == code


def test_the_last_line_is_the_sum(capsys: pytest.CaptureFixture[str]) -> None:
    report([CLEAN, Outcome("PostgreSQL", False, 1.0, passed=2, failed=1)], [])
    assert capsys.readouterr().out.splitlines()[-1] == "5 passed, 1 failed"


def test_what_was_left_out_is_said(capsys: pytest.CaptureFixture[str]) -> None:
    wish = Wish(only_sqlite=True, no_browser=True, rest=())
    report([CLEAN], left_out(wish))
    said = capsys.readouterr().out
    assert "Left out: PostgreSQL (--only-sqlite)" in said
    assert "Left out: the browser tests (--no-browser)" in said
    assert left_out(EVERYTHING) == []


def test_the_whole_run_has_both_databases_and_the_browser(tmp_path: Path) -> None:
    names = [step.name for step in steps(EVERYTHING, tmp_path, "postgresql://x/y")]
    assert names == [
        "ruff",
        "ruff format",
        "mypy",
        "migrations",
        "check --deploy",
        "SQLite",
        "PostgreSQL",
        "Chromium on SQLite",
        "Chromium on PostgreSQL",
    ]


def test_paths_go_to_pytest_on_both_databases(tmp_path: Path) -> None:
    wish = Wish(only_sqlite=False, no_browser=False, rest=("tests/engine", "-x"))
    found = steps(wish, tmp_path, "postgresql://x/y")
    assert [step.name for step in found] == ["SQLite", "PostgreSQL"]
    assert all(step.arguments[-2:] == ("tests/engine", "-x") for step in found)


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
