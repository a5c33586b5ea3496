"""Where a drill runs: a database of its own, processes that can be killed."""

import os
import subprocess
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent


@dataclass(frozen=True)
class Result:
    """What a drill counted; ``lost`` is every promise that was not kept."""

    name: str
    counts: Mapping[str, int]
    lost: tuple[str, ...] = ()

    def __str__(self) -> str:
        told = ", ".join(f"{count} {what}" for what, count in self.counts.items())
        verdict = "nothing lost" if not self.lost else "; ".join(self.lost)
        return f"{self.name}: {told}: {verdict}"


def started(*arguments: str, **environment: str) -> "subprocess.Popen[str]":
    """One of our Python modules as a process of its own."""
    return subprocess.Popen(
        [sys.executable, *arguments],
        cwd=ROOT,
        env=os.environ | environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


@contextmanager
def killed_at_the_end(process: "subprocess.Popen[str]") -> Iterator[None]:
    try:
        yield
    finally:
        process.kill()
        process.communicate()
