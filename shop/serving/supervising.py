"""Keeps a few processes running, and stops them all in time.

A process that ends is started again, later each time it ends soon after its
start. One that the shop cannot do without (``vital``) and that never stays up
ends the whole; the others are tried for ever.
"""

import logging
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType

log = logging.getLogger("shop.serving")

ROOT = Path(__file__).resolve().parents[2]
WITH_US = (sys.executable, "-m", "shop.serving.child")

STOP_SECONDS = 28.0
# After this long (seconds) a process has stood, and its next end is a new story.
STOOD = 30.0
LONGEST_WAIT = 60.0
TRIES = 5
TICK = 0.2


@dataclass(frozen=True)
class Part:
    """What is to be kept running. ``handed`` are sockets that it inherits."""

    name: str
    command: Sequence[str]
    environment: Mapping[str, str] = field(default_factory=dict)
    handed: tuple[int, ...] = ()
    vital: bool = True


@dataclass
class Kept:
    """A part, its process, and how often it has ended too soon."""

    part: Part
    process: subprocess.Popen[bytes] | None = None
    begun: float = 0.0
    falls: int = 0
    next_try: float = 0.0

    def start(self) -> None:
        self.begun = time.monotonic()
        own = {"PYTHONPATH": str(ROOT)}
        self.process = subprocess.Popen(  # noqa: S603  our own commands
            [*WITH_US, str(os.getpid()), *self.part.command],
            env=dict(os.environ) | own | dict(self.part.environment),
            pass_fds=self.part.handed,
            stdin=subprocess.DEVNULL,
            start_new_session=True,  # Ctrl-C is for us; we tell them in order
        )

    def tell(self, number: signal.Signals) -> None:
        if self.is_running:
            assert self.process is not None
            self.process.send_signal(number)

    @property
    def is_running(self) -> bool:
        return self.process is not None and self.process.poll() is None

    def note_end(self, now: float) -> None:
        """Note an end, and when to start again."""
        assert self.process is not None
        self.falls = 1 if now - self.begun > STOOD else self.falls + 1
        wait = wait_after(self.falls)
        self.next_try = now + wait
        log.warning(
            "%s has ended (%s). Starting it again in %d s.",
            self.part.name,
            how_it_ended(self.process.returncode),
            wait,
        )
        self.process = None


def wait_after(falls: int) -> float:
    """1, 2, 4 ... seconds, at most a minute."""
    return min(LONGEST_WAIT, 2.0 ** (falls - 1))


def how_it_ended(code: int) -> str:
    """The return code in words: a negative one is the signal that ended it."""
    return f"exit code {code}" if code >= 0 else signal.Signals(-code).name


class Supervisor:
    """Runs the parts until it is told to stop; ``run`` gives the exit code."""

    def __init__(self, parts: Sequence[Part]) -> None:
        self.kept = [Kept(part) for part in parts]
        self.is_stopping = False

    def stop(self, _number: int = 0, _frame: FrameType | None = None) -> None:
        self.is_stopping = True

    def catch_signals(self) -> None:
        for number in (signal.SIGTERM, signal.SIGINT):
            signal.signal(number, self.stop)

    def named(self, name: str) -> Kept:
        return next(kept for kept in self.kept if kept.part.name == name)

    def replace(self, part: Part) -> None:
        """Start a part anew as it is described now."""
        kept = self.named(part.name)
        kept.part = part
        kept.tell(signal.SIGTERM)
        wait_for([kept], STOP_SECONDS)
        kept.start()

    def run(self, now_and_then: Callable[[], None] = lambda: None) -> int:
        """Until ``stop``, calling ``now_and_then`` at each turn.

        0: all ended when asked. 1: a vital part would not stand, or some part
        had to be killed.
        """
        for kept in self.kept:
            kept.start()
        try:
            has_failed = self._watch(now_and_then)
        finally:
            were_killed = self._stop_all()
        return 1 if has_failed or were_killed else 0

    def _watch(self, now_and_then: Callable[[], None]) -> bool:
        while not self.is_stopping:
            now = time.monotonic()
            for kept in self.kept:
                self._look_after(kept, now)
                if kept.part.vital and kept.falls >= TRIES:
                    log.error("%s does not stay up. Giving up.", kept.part.name)
                    return True
            now_and_then()
            time.sleep(TICK)
        return False

    def _look_after(self, kept: Kept, now: float) -> None:
        if kept.process is None:
            if now >= kept.next_try:
                kept.start()
        elif not kept.is_running:
            kept.note_end(now)

    def _stop_all(self) -> list[str]:
        """End every part, the first of the list last; the names that were killed."""
        until = time.monotonic() + STOP_SECONDS
        first, others = self.kept[:1], self.kept[1:]
        for group in (others, first):
            for kept in group:
                kept.tell(signal.SIGTERM)
            wait_for(group, until - time.monotonic())
        late = [kept for kept in self.kept if kept.is_running]
        for kept in late:
            log.error("%s did not stop in time and was killed.", kept.part.name)
            kept.tell(signal.SIGKILL)
        wait_for(late, 1.0)
        return [kept.part.name for kept in late]


def wait_for(kept: Sequence[Kept], seconds: float) -> None:
    """Until they have all ended, at most so many seconds."""
    until = time.monotonic() + seconds
    while any(one.is_running for one in kept) and time.monotonic() < until:
        time.sleep(0.05)
