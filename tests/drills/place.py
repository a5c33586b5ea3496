"""What every drill has: a result, and processes that can be killed.

A process started here dies with the drill, so that nothing is left running
when the drill itself is stopped.
"""

import ctypes
import os
import signal
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
PR_SET_PDEATHSIG = 1  # prctl(2)
SHOWN = 5


@dataclass(frozen=True)
class Result:
    """What a drill counted; ``lost`` is every promise that was not kept."""

    name: str
    counts: Mapping[str, int]
    lost: tuple[str, ...] = ()

    def __str__(self) -> str:
        told = ", ".join(f"{count} {what}" for what, count in self.counts.items())
        return f"{self.name}: {told}: {self.verdict}"

    @property
    def verdict(self) -> str:
        if not self.lost:
            return "nothing lost"
        more = ["..."] if len(self.lost) > SHOWN else []
        return f"{len(self.lost)} faults: {'; '.join([*self.lost[:SHOWN], *more])}"


def started(
    *arguments: str, env: Mapping[str, str] | None = None
) -> "subprocess.Popen[bytes]":
    """One of our Python modules as a process of its own, silent."""
    return subprocess.Popen(
        [sys.executable, *arguments],
        cwd=ROOT,
        env=env,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        preexec_fn=die_with_parent,  # noqa: PLW1509  no thread runs yet
    )


def die_with_parent() -> None:
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(PR_SET_PDEATHSIG, signal.SIGKILL)


def kill(pid: int) -> bool:
    """Kill it without a chance to tidy up; whether it was still there."""
    try:
        os.kill(pid, signal.SIGKILL)
    except ProcessLookupError:
        return False
    return True
