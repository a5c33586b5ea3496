"""The whole run: checks of the source, then every test on both databases.

The engine touches no database and no Django (``test_imports`` holds it to
that), so its own tests run by themselves, and only there branches are counted:
counting costs time. Everything else runs on SQLite and again on PostgreSQL. What all
steps need is made once and lies in their common folder; that is done beside the checks
of the source, which keep one processor busy. The browser
tests have processes of their own, because Playwright's loop would make Django's
guard against asynchronous use meaningless for the tests beside them. One or two tests
of a step that fail on a busy machine are asked once more, alone: what fails again is a
fault, what passes is named in the account. What carries the marker ``one_database``
runs on SQLite alone: how a page looks, what a script does.
"""

import os
import subprocess
import sys
import tempfile
import time
import xml.etree.ElementTree as ET
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import ExitStack
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from tests import house_numbers, machine, made_database

ROOT = Path(__file__).resolve().parent.parent
# manage.py has named the shop's own settings in the environment.
PYTEST = ("-m", "pytest", "-q", "--ds=tests.settings")
WORKERS = ("-n", "2", "--dist", "worksteal")
# Counting branches makes them three times as long: the long ones go uncounted.
ENGINE = ("tests/engine", "tests/published", "diagnostics/engine")
COUNTED = ("-m", "not long", "--cov", "--cov-report=term")
UNCOUNTED = ("-m", "long or not engine")
BROWSER = "tests/browser"
# What does not depend on the database, such as how a page looks, runs once.
ON_BOTH = ("-m", "not one_database")
MOST_SHAKY = 2
NO_TESTS = pytest.ExitCode.NO_TESTS_COLLECTED
ALONE = ("--last-failed", "--last-failed-no-failures", "none")
Environment = tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Wish:
    """What the person asked for."""

    only_sqlite: bool
    no_browser: bool
    rest: tuple[str, ...]  # paths and arguments for pytest


@dataclass(frozen=True)
class Step:
    """One process of the run; a step that runs tests names where their report goes."""

    name: str
    arguments: tuple[str, ...]
    database: str | None = None
    report: Path | None = None
    environment: Environment = ()
    may_be_shaky: bool = False
    may_be_empty: bool = False  # what was named may ask no database
    is_beside: bool = False  # the steps after it don't wait, but for tests


@dataclass(frozen=True)
class Timed:
    seconds: float
    test: str


@dataclass(frozen=True)
class Outcome:
    name: str
    is_clean: bool
    seconds: float
    passed: int = 0
    failed: int = 0
    skipped: int = 0
    tests: tuple[Timed, ...] = ()
    failures: tuple[str, ...] = ()
    shaky: tuple[str, ...] = ()


def run(wish: Wish) -> int:
    """Everything that was wished for; the exit code."""
    start = time.monotonic()
    needs_postgres, needs_browser = not wish.only_sqlite, not wish.no_browser
    machine.equip(needs_postgres, needs_browser)
    with ExitStack() as stack:
        folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
        url = stack.enter_context(machine.postgres()) if needs_postgres else None
        if url:
            stack.enter_context(made_database.only_for(url))
        wanted = [sharing(step, folder, url) for step in steps(wish, folder, url)]
        outcomes = all_carried_out(wanted)
    return report(outcomes, left_out(wish), time.monotonic() - start)


def all_carried_out(wanted: list[Step]) -> list[Outcome]:
    """One after the other; what goes beside them is done before the first tests."""
    outcomes: list[Outcome] = []
    beside: list[Future[Outcome]] = []
    with ThreadPoolExecutor() as others:
        for step in wanted:
            if step.is_beside:
                beside.append(others.submit(carry_out, step))
                continue
            if step.report is not None:
                outcomes += [one.result() for one in beside]
                beside.clear()
            outcomes.append(carry_out(step))
        return outcomes + [one.result() for one in beside]


def steps(wish: Wish, folder: Path, postgres_url: str | None) -> list[Step]:
    if wish.rest:
        found = [pytest_step("SQLite", wish.rest, folder)]
        if postgres_url:
            again = (*ON_BOTH, *wish.rest)  # a marker of the person's comes after it
            step = pytest_step("PostgreSQL", again, folder, postgres_url)
            found.append(replace(step, may_be_empty=True))
        return found
    return [
        making(folder, postgres_url),
        *source_checks(folder),
        *whole_suite(wish, folder, postgres_url),
    ]


def sharing(step: Step, folder: Path, postgres_url: str | None) -> Step:
    """What serves every process of the run is made once.

    That is the server, and the compiled modules: where Python was told to leave none
    behind, each process would compile all of them anew, a third of its start.
    """
    found = [(machine.OF_THE_RUN, postgres_url)] if postgres_url else []
    if sys.flags.dont_write_bytecode:
        found += [("PYTHONDONTWRITEBYTECODE", "")]
        found += [("PYTHONPYCACHEPREFIX", str(folder / "compiled"))]
    return replace(step, environment=(*step.environment, *found))


def source_checks(folder: Path) -> list[Step]:
    tests = surroundings("test", folder / "checks")
    production = surroundings("production", folder / "production")
    deploy = ("manage.py", "check", "--deploy", "--fail-level", "WARNING")
    migrations = ("manage.py", "makemigrations", "--check", "--dry-run")
    shop = (*production, ("ALLOWED_HOSTS", "shop.example"))
    return [
        Step("ruff", ("-m", "ruff", "check"), environment=tests),
        Step("ruff format", ("-m", "ruff", "format", "--check"), environment=tests),
        Step("mypy", ("-m", "mypy"), environment=tests),
        Step("migrations", migrations, environment=tests),
        Step("check --deploy", deploy, environment=shop),
    ]


def making(folder: Path, postgres_url: str | None) -> Step:
    """What the tests copy: without it each step would make what it finds missing."""
    place = surroundings("test", folder / "making")
    arguments = ("-m", "tests.making", str(folder / "made"))
    urls = (postgres_url,) if postgres_url else ()
    name = "what the tests copy"
    return Step(name, (*arguments, *urls), environment=place, is_beside=True)


def surroundings(profile: str, data: Path) -> Environment:
    """A profile with a data folder of its own, so that no run meets another."""
    return (("COLDRAIL_PROFILE", profile), ("COLDRAIL_DATA", str(data)))


def whole_suite(wish: Wish, folder: Path, postgres_url: str | None) -> list[Step]:
    engine = (*WORKERS, *ENGINE, *COUNTED)
    shop = ("tests", f"--ignore={BROWSER}")
    found = [
        pytest_step("engine", engine, folder),
        shop_step("SQLite", (*shop, *UNCOUNTED), folder),
    ]
    if postgres_url:
        again = (*shop, "--ignore=tests/engine", *ON_BOTH)
        found.append(shop_step("PostgreSQL", again, folder, postgres_url))
    if not wish.no_browser:
        found.append(shop_step("Chromium on SQLite", (BROWSER,), folder))
        if postgres_url:
            name, which = "Chromium on PostgreSQL", (BROWSER, *ON_BOTH)
            found.append(shop_step(name, which, folder, postgres_url))
    return found


def shop_step(
    name: str, which: tuple[str, ...], folder: Path, database: str | None = None
) -> Step:
    failed_last = ("-o", f"cache_dir={folder / name}-failed")
    arguments = (*WORKERS, *failed_last, *which)
    return replace(pytest_step(name, arguments, folder, database), may_be_shaky=True)


def pytest_step(
    name: str, arguments: tuple[str, ...], folder: Path, database: str | None = None
) -> Step:
    report_file = folder / f"{name}.xml"
    all_arguments = (*PYTEST, f"--junitxml={report_file}", *arguments)
    made = ("COLDRAIL_MADE", str(folder / "made"))
    place = (*surroundings("test", folder / name), made)
    return Step(name, all_arguments, database, report_file, place)


def left_out(wish: Wish) -> list[str]:
    found = []
    if wish.rest:
        found.append("checks of the source and all other tests (pytest was told what)")
    if wish.only_sqlite:
        found.append("PostgreSQL (--only-sqlite)")
    if wish.no_browser:
        found.append("the browser tests (--no-browser)")
    return found


def carry_out(step: Step) -> Outcome:
    outcome = carried_out_once(step)
    if step.may_be_shaky and 0 < outcome.failed <= MOST_SHAKY:
        return with_the_second(outcome, carried_out_once(alone(step)))
    return outcome


def alone(step: Step) -> Step:
    """Only what failed, in one process, with a report of its own."""
    assert step.report is not None
    report_file = step.report.with_name(f"{step.report.stem} again.xml")
    moved = (f"--junitxml={report_file}", *ALONE)
    kept = [
        a
        for a in step.arguments
        if a not in WORKERS and not a.startswith("--junitxml=")
    ]
    again = f"{step.name}, what failed, alone"
    return replace(step, name=again, arguments=(*kept, *moved), report=report_file)


def with_the_second(first: Outcome, second: Outcome) -> Outcome:
    """Clean if all that failed has passed when it was alone."""
    seconds = first.seconds + second.seconds
    if not second.is_clean or second.passed != first.failed:
        return replace(first, seconds=seconds)
    passed = first.passed + second.passed
    return replace(
        first,
        is_clean=not first.skipped,
        seconds=seconds,
        passed=passed,
        failed=0,
        shaky=first.failures,
    )


def carried_out_once(step: Step) -> Outcome:
    if not step.is_beside:
        print(f"\n== {step.name}", flush=True)
    environment = dict(os.environ) | dict(step.environment)
    environment.pop("DATABASE_URL", None)
    if step.database:
        environment["DATABASE_URL"] = step.database
    start = time.monotonic()
    command = [sys.executable, *step.arguments]
    done = subprocess.run(
        command,
        cwd=ROOT,
        env=environment,
        stdout=subprocess.PIPE if step.is_beside else None,
        stderr=subprocess.STDOUT if step.is_beside else None,
        text=True,
        check=False,
    )
    seconds = time.monotonic() - start
    if step.is_beside:
        print(f"\n== {step.name}, beside\n{done.stdout}", flush=True)
    is_clean = done.returncode == 0
    is_empty = (
        step.may_be_empty and done.returncode == pytest.ExitCode.NO_TESTS_COLLECTED
    )
    if step.report is None or is_empty:
        return Outcome(step.name, is_clean or is_empty, seconds)
    return read_report(step.name, step.report, is_clean, seconds)


def read_report(name: str, file: Path, is_clean: bool, seconds: float) -> Outcome:
    """Count what pytest wrote; a run without a report has not passed."""
    if not file.exists():
        return Outcome(name, False, seconds)
    cases = list(ET.parse(file).iter("testcase"))  # noqa: S314  pytest's own file
    failures = tuple(
        timed(case).test for case in cases if has_any(case, "failure", "error")
    )
    failed = len(failures)
    skipped = sum(1 for c in cases if has_any(c, "skipped"))
    tests = tuple(timed(case) for case in cases)
    passed = len(cases) - failed - skipped
    clean = is_clean and passed > 0 and not failed and not skipped
    return Outcome(name, clean, seconds, passed, failed, skipped, tests, failures)


def has_any(case: ET.Element, *names: str) -> bool:
    return any(case.find(name) is not None for name in names)


def timed(case: ET.Element) -> Timed:
    test = f"{case.get('classname', '')}::{case.get('name', '')}"
    return Timed(float(case.get("time", "0")), test)


def report(outcomes: list[Outcome], missing: list[str], seconds: float) -> int:
    """Print the account; 0 only when every step was clean and a test ran."""
    print_slowest(outcomes)
    house_numbers.show()
    print("\n== The run")
    for outcome in outcomes:
        verdict = "clean" if outcome.is_clean else "NOT CLEAN"
        counts = f", {outcome.passed} passed" if outcome.tests else ""
        skipped = f", {outcome.skipped} skipped" if outcome.skipped else ""
        print(f"{outcome.seconds:6.1f} s  {outcome.name}: {verdict}{counts}{skipped}")
        for test in outcome.shaky:
            print(f"          shaky: {test} failed beside others and passed alone")
    print(f"{seconds:6.1f} s  in all")
    for words in missing:
        print(f"Left out: {words}")
    passed, failed = sum(o.passed for o in outcomes), sum(o.failed for o in outcomes)
    print(f"{passed} passed, {failed} failed", flush=True)
    return 0 if passed and all(o.is_clean for o in outcomes) else 1


def print_slowest(outcomes: list[Outcome], how_many: int = 10) -> None:
    rows = [(timed, o.name) for o in outcomes for timed in o.tests]
    print(f"\n== The {how_many} slowest tests")
    for row, where in sorted(rows, key=lambda r: -r[0].seconds)[:how_many]:
        print(f"{row.seconds:6.2f} s  {row.test}  ({where})")
