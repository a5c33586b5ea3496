"""docs/running.md and the units say what the commands do."""

import configparser
import shutil
import subprocess
from pathlib import Path

import pytest

from shop.serving import front, http1
from shop.serving.management.commands.serve import Command
from tests.serving import ROOT

pytestmark = pytest.mark.one_database

DOC = (ROOT / "docs" / "running.md").read_text()
UNITS = sorted((ROOT / "docs" / "systemd").glob("*.service"))


def own_switches() -> list[str]:
    usual = set(Command().create_parser("manage.py", "x")._option_string_actions)
    bare = {"--help", "--version", "--verbosity", "--settings", "--pythonpath"}
    rest = {"--traceback", "--no-color", "--force-color", "--skip-checks"}
    return sorted(one for one in usual - bare - rest if one.startswith("--"))


@pytest.mark.parametrize("switch", own_switches())
def test_every_switch_has_its_line(switch: str) -> None:
    assert f"| `{switch}" in DOC


def test_the_limits_are_those_of_the_front() -> None:
    limits = front.Limits()
    megabytes = http1.LARGEST_BODY // 2**20
    assert f"{limits.connections} connections" in DOC
    assert f"{limits.of_one_address} from one address" in DOC
    assert f"{megabytes} MB of body" in DOC
    assert f"client_max_body_size {megabytes}m;" in DOC
    assert f"max_size {megabytes}MB" in DOC
    assert f"{limits.head:.0f} s for the header" in DOC
    assert f"{limits.body:.0f} s for the body" in DOC


@pytest.mark.parametrize("unit", UNITS, ids=lambda unit: unit.stem)
def test_units_are_fenced_in(unit: Path) -> None:
    parser = configparser.ConfigParser(interpolation=None, strict=False)
    parser.optionxform = str  # type: ignore[assignment,method-assign]
    parser.read(unit)
    service = parser["Service"]
    assert service["ProtectSystem"] == "strict"
    assert service["NoNewPrivileges"] == "yes"
    assert service["User"] == "coldrail"
    assert int(service["TimeoutStopSec"]) > 30
    if program := shutil.which("systemd-analyze"):
        done = subprocess.run(
            [program, "verify", unit], capture_output=True, text=True, check=False
        )
        assert (done.returncode, done.stderr) == (0, "")
