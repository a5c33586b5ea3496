"""Processes that fall are started again; all of them end in time."""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from shop.serving import supervising
from shop.serving.supervising import Part, Supervisor

pytestmark = pytest.mark.one_database

ROOT = Path(__file__).resolve().parents[3]
WAITS = "import time; time.sleep(60)"


def python(name: str, code: str, *, vital: bool = True) -> Part:
    return Part(name, [sys.executable, "-c", code], vital=vital)


def test_all_end_when_asked() -> None:
    supervisor = Supervisor([python("one", WAITS), python("two", WAITS)])
    begun = time.monotonic()
    assert supervisor.run(supervisor.stop) == 0
    assert time.monotonic() - begun < 5
    assert not any(kept.is_running for kept in supervisor.kept)


def test_what_falls_is_started_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(supervising, "wait_after", lambda _falls: 0.0)
    marks = tmp_path / "marks"
    code = f"open({str(marks)!r}, 'a').write('x')"
    supervisor = Supervisor([python("jobs", code, vital=False)])

    def until_seven() -> None:
        if marks.exists() and len(marks.read_text()) >= 7:
            supervisor.stop()

    assert supervisor.run(until_seven) == 0


def test_what_the_shop_needs_is_not_tried_for_ever(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(supervising, "wait_after", lambda _falls: 0.0)
    other = python("jobs", WAITS, vital=False)
    supervisor = Supervisor([python("web", "raise SystemExit(3)"), other])
    assert supervisor.run() == 1
    assert not supervisor.named("jobs").is_running


def test_who_will_not_stop_is_killed_and_that_is_said(
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    caplog: pytest.LogCaptureFixture,
) -> None:
    monkeypatch.setattr(supervising, "STOP_SECONDS", 0.5)
    ready = tmp_path / "ready"
    deaf = "import signal; signal.signal(signal.SIGTERM, signal.SIG_IGN);"
    supervisor = Supervisor(
        [python("deaf", f"{deaf} open({str(ready)!r}, 'w'); {WAITS}")]
    )

    def when_ready() -> None:
        if ready.exists():
            supervisor.stop()

    assert supervisor.run(when_ready) == 1
    assert "deaf did not stop in time" in caplog.text


def test_the_wait_doubles_up_to_a_minute() -> None:
    waits = [supervising.wait_after(falls) for falls in range(1, 10)]
    assert waits == [1, 2, 4, 8, 16, 32, 60, 60, 60]
    assert supervising.how_it_ended(-signal.SIGKILL) == "SIGKILL"
    assert supervising.how_it_ended(3) == "exit code 3"


def test_children_die_with_their_parent(tmp_path: Path) -> None:
    """A parent that is killed outright cannot tell its children."""
    pid = tmp_path / "pid"
    child = f"import os, time; open({str(pid)!r}, 'w').write(str(os.getpid())); {WAITS}"
    code = (
        "import sys; from shop.serving.supervising import Part, Supervisor\n"
        f"Supervisor([Part('x', [sys.executable, '-c', {child!r}])]).run()"
    )
    parent = subprocess.Popen([sys.executable, "-c", code], cwd=ROOT)
    wait_until(lambda: pid.exists() and pid.read_text() != "")
    parent.kill()
    parent.wait()
    wait_until(lambda: not is_alive(int(pid.read_text())))


def wait_until(is_so: Callable[[], bool], seconds: float = 10) -> None:
    until = time.monotonic() + seconds
    while not is_so():
        assert time.monotonic() < until, "it never came"
        time.sleep(0.05)


def is_alive(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    state = Path(f"/proc/{pid}/stat")
    return not state.exists() or state.read_text().split()[2] != "Z"
