"""The door: what it asks the machine for, and when it makes the environment."""

import subprocess
import sys
from pathlib import Path

import pytest

from shop import bootstrap
from shop.bootstrap import Machine, Stop

READY = Machine(has_ensurepip=True, has_uv=False, has_libraries=True, may_install=False)
VENV_PACKAGE = "python3-venv"


@pytest.fixture
def project(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A project folder with a space in its name, two locks, no environment."""
    root = tmp_path / "cold rail"
    root.mkdir()
    (root / "requirements.txt").write_text("django==5.2.19\n")
    (root / "requirements-test.txt").write_text("django==5.2.19\npytest==9.2.0\n")
    monkeypatch.setattr(bootstrap, "ROOT", root)
    monkeypatch.setattr(bootstrap, "VENV", root / ".venv")
    monkeypatch.setattr(bootstrap, "PYTHON", root / ".venv" / "bin" / "python")
    monkeypatch.setattr(bootstrap, "STAMP", root / ".venv" / "coldrail-stamp")
    return root


@pytest.fixture
def commands(monkeypatch: pytest.MonkeyPatch) -> list[list[str]]:
    """The commands that the door would start; each of them succeeds."""
    started: list[list[str]] = []

    def pretend(command: list[str], _hint: str) -> None:
        started.append(command)
        if "venv" in command:
            stand_up_python()

    monkeypatch.setattr(bootstrap, "run", pretend)
    return started


def stand_up_python() -> None:
    bootstrap.PYTHON.parent.mkdir(parents=True, exist_ok=True)
    bootstrap.PYTHON.unlink(missing_ok=True)
    bootstrap.PYTHON.symlink_to(sys.executable)


def stand_up(lock: str) -> None:
    stand_up_python()
    bootstrap.STAMP.write_text(bootstrap.stamp_for(lock))


def needed(machine: Machine) -> list[str]:
    return bootstrap.packages_needed(machine, makes_environment=True)


def meet(machine: Machine, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(bootstrap, "look_around", lambda: machine)


def test_a_machine_that_has_everything_is_asked_for_nothing() -> None:
    assert needed(READY) == []


def test_uv_stands_in_for_ensurepip() -> None:
    machine = READY._replace(has_ensurepip=False, has_uv=True)
    assert needed(machine) == []


def test_without_both_debian_is_asked_for_venv() -> None:
    machine = READY._replace(has_ensurepip=False)
    assert needed(machine) == [VENV_PACKAGE]


@pytest.mark.usefixtures("project")
def test_an_environment_that_stands_needs_no_maker(
    commands: list[list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    stand_up("requirements.txt")
    meet(READY._replace(has_ensurepip=False), monkeypatch)
    assert not bootstrap.prepare("demo")
    assert commands == []


def test_everything_that_is_missing_comes_in_one_line() -> None:
    bare = READY._replace(has_ensurepip=False, has_libraries=False)
    assert bootstrap.apt_line(needed(bare)) == (
        "apt-get update && apt-get install -y --no-install-recommends python3-venv "
        "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0"
    )


def test_a_plain_user_is_told_the_line_and_nothing_is_started(
    project: Path, commands: list[list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    meet(READY._replace(has_ensurepip=False), monkeypatch)
    with pytest.raises(Stop, match=r"apt-get install -y .* python3-venv"):
        bootstrap.prepare("demo")
    assert commands == []
    assert not (project / ".venv").exists()


def test_root_on_debian_installs_then_makes_the_environment(
    project: Path, commands: list[list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    bare = READY._replace(has_ensurepip=False, may_install=True)
    meet(bare, monkeypatch)
    assert bootstrap.prepare("demo")
    assert commands[0] == ["apt-get", "update"]
    assert commands[1][-1] == VENV_PACKAGE
    assert str(project / ".venv") in commands[2]


def test_the_environment_lies_in_the_folder_and_is_installed_by_hashes(
    project: Path, commands: list[list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    meet(READY, monkeypatch)
    bootstrap.prepare("demo")
    make, install = commands
    assert make[1:] == ["-m", "venv", str(project / ".venv")]
    assert install[0] == str(project / ".venv" / "bin" / "python")
    assert {"--require-hashes", "--no-deps"} <= set(install)
    assert install[-1] == str(project / "requirements.txt")


def test_uv_makes_it_where_ensurepip_is_missing(
    project: Path, commands: list[list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    meet(READY._replace(has_ensurepip=False, has_uv=True), monkeypatch)
    bootstrap.prepare("demo")
    assert [command[:2] for command in commands] == [["uv", "venv"], ["uv", "pip"]]
    assert commands[1][-1] == str(project / "requirements.txt")


@pytest.mark.usefixtures("project")
def test_a_second_start_makes_nothing(
    commands: list[list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    meet(READY, monkeypatch)
    assert bootstrap.prepare("demo")
    commands.clear()
    assert not bootstrap.prepare("demo")
    assert commands == []


def test_an_environment_without_its_stamp_is_made_again(
    project: Path, commands: list[list[str]], monkeypatch: pytest.MonkeyPatch
) -> None:
    meet(READY, monkeypatch)
    stand_up_python()  # killed before the stamp was written
    left_over = project / ".venv" / "half"
    left_over.touch()
    assert bootstrap.prepare("demo")
    assert not left_over.exists()
    assert len(commands) == 2


@pytest.mark.usefixtures("project")
def test_a_failed_installation_leaves_no_stamp(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(command: list[str], hint: str) -> None:
        if "pip" in command:
            raise Stop(hint)
        stand_up_python()

    meet(READY, monkeypatch)
    monkeypatch.setattr(bootstrap, "run", fail)
    with pytest.raises(Stop, match="check the network"):
        bootstrap.prepare("demo")
    assert bootstrap.read_stamp() == ""


@pytest.mark.parametrize("command", ["test", "measure", "drill"])
@pytest.mark.usefixtures("project")
def test_tests_need_the_wider_lock(command: str) -> None:
    stand_up("requirements.txt")
    wanted = bootstrap.lock_to_install(command, bootstrap.read_stamp())
    assert wanted == "requirements-test.txt"


@pytest.mark.usefixtures("project")
def test_the_wider_environment_serves_the_demo_too() -> None:
    stand_up("requirements-test.txt")
    assert bootstrap.lock_to_install("demo", bootstrap.read_stamp()) is None


@pytest.mark.parametrize("lock", ["requirements.txt", "requirements-test.txt"])
def test_a_changed_lock_is_installed_again(project: Path, lock: str) -> None:
    stand_up(lock)
    (project / lock).write_text("django==5.2.20\n")
    assert bootstrap.lock_to_install("demo", bootstrap.read_stamp()) == lock


def test_a_folder_that_moved_makes_its_environment_again(
    project: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    stand_up("requirements.txt")
    stamp = bootstrap.read_stamp()
    monkeypatch.setattr(bootstrap, "VENV", project / "elsewhere" / ".venv")
    assert bootstrap.lock_to_install("demo", stamp) == "requirements.txt"


@pytest.mark.usefixtures("project")
def test_a_python_that_went_away_counts_as_no_environment() -> None:
    stand_up("requirements.txt")
    bootstrap.PYTHON.unlink()
    bootstrap.PYTHON.symlink_to("/nowhere/python3.10")
    assert bootstrap.read_stamp() == ""


@pytest.mark.parametrize(
    ("command", "profile"),
    [
        ("demo", "demo"),
        ("test", "test"),
        ("measure", "test"),
        ("drill", "test"),
        ("migrate", "production"),
        ("", "production"),
    ],
)
def test_each_command_has_its_profile(command: str, profile: str) -> None:
    assert bootstrap.profile_for(command) == profile


def test_an_old_python_is_refused_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "version_info", (3, 9, 2))
    with pytest.raises(SystemExit, match=r"needs Python 3\.11 .* this is 3\.9"):
        bootstrap.open_door(["manage.py", "demo"])


def test_a_failing_command_shows_what_it_said() -> None:
    words = "import sys; print('no such mirror'); sys.exit(3)"
    with pytest.raises(Stop, match=r"no such mirror(.|\n)*try again"):
        bootstrap.run([sys.executable, "-c", words], "try again")


def test_the_door_needs_nothing_but_the_standard_library() -> None:
    words = "import sys, shop.bootstrap; print(*sys.modules)"
    done = subprocess.run(
        [sys.executable, "-S", "-c", words],
        cwd=bootstrap.ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    tops = {name.split(".")[0] for name in done.stdout.split()}
    assert tops - {"shop", "__main__"} <= set(sys.stdlib_module_names)


def test_the_locks_carry_hashes_and_no_addresses() -> None:
    for lock in (bootstrap.LOCK, bootstrap.TEST_LOCK):
        text = (bootstrap.ROOT / lock).read_text()
        pins = [line for line in text.splitlines() if "==" in line]
        pins = [line for line in pins if not line.startswith((" ", "#"))]
        assert len(pins) > 20
        assert all(line.endswith("\\") for line in pins)
        assert text.count("--hash=sha256:") >= len(pins)
        assert "://" not in text
