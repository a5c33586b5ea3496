"""A print system in a folder: ``lp`` and ``lpstat`` that write down their work.

They answer as CUPS does: ``lpstat -e`` prints the names, ``lp`` says ``request id is
NAME-1 (0 file(s))`` (CUPS, systemv/lp.c), and fails while the file ``off`` is there.
"""

import os
import stat
from pathlib import Path

import pytest

from shop.people import stations
from shop.people.models import Person, Shop, Station

LPSTAT = """#!/bin/sh
cd "$(dirname "$0")"
[ -e dead ] && { echo "lpstat: Bad file descriptor" >&2; exit 1; }
case "$1" in
  -e) cat printers ;;
  -W) cat waiting 2>/dev/null || true ;;
esac
"""
LP = """#!/bin/sh
cd "$(dirname "$0")"
[ -e off ] && { echo "lp: The printer or class does not exist." >&2; exit 1; }
n=$(( $(cat count 2>/dev/null || echo 0) + 1 ))
echo $n > count
cat > "paper-$n.pdf"
for one in "$@"; do echo "$one"; done > "asked-$n"
[ -e slow ] && echo "$2-$n tomas 1024 now" >> waiting
echo "request id is $2-$n (0 file(s))"
"""


class PrintSystem:
    """What the fake one holds, and switches for its troubles."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def switch(self, trouble: str, *, on: bool = True) -> None:
        path = self.folder / trouble
        path.touch() if on else path.unlink()

    def forget_waiting(self) -> None:
        (self.folder / "waiting").write_text("")

    def papers(self) -> list[bytes]:
        return [p.read_bytes() for p in sorted(self.folder.glob("paper-*.pdf"))]

    def asked(self, n: int) -> list[str]:
        return (self.folder / f"asked-{n}").read_text().splitlines()


@pytest.fixture
def print_system(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> PrintSystem:
    for name, text in (("lp", LP), ("lpstat", LPSTAT)):
        program = tmp_path / name
        program.write_text(text)
        program.chmod(program.stat().st_mode | stat.S_IXUSR)
    (tmp_path / "printers").write_text("desk\nroll\n")
    monkeypatch.setenv("PATH", f"{tmp_path}:{os.environ['PATH']}")
    return PrintSystem(tmp_path)


@pytest.fixture
def counter_and_token(hollin_lane: Shop, marit: Person) -> tuple[Station, str]:
    return stations.station_enrol(shop=hollin_lane, by=marit, name="Counter")


@pytest.fixture
def counter(counter_and_token: tuple[Station, str]) -> Station:
    return counter_and_token[0]
