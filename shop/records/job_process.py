"""The one process that runs the jobs, wherever it runs: it holds a lease.

The lease ends by the database's clock. Its holder reckons by its own steady clock
from before it asked, so that it thinks of the end too early and never too late;
between two machines only the pace of their clocks has to agree. An act that runs
on towards the end of the lease is ended with its process, by the kernel, so that
no two processes ever work at once. Should the database's clock itself be put
forward, a second holder may begin while the first still works: jobs and messages
are claimed in their rows as well, and are not done twice.
"""

import logging
import os
import secrets
import signal
import socket
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field

from django.db import Error, connection

from shop.records import clock, jobs
from shop.records import services as records

log = logging.getLogger(__name__)
NAME = "jobs"
SOON = 1.0  # seconds until a failed renewal is tried again
Alarm = Callable[[float], object]


def own_name() -> str:
    host = socket.gethostname()[:40]
    return f"{host}:{os.getpid()}:{secrets.token_hex(6)}"


def end_in(seconds: float) -> None:
    """Let the kernel end this process then, whatever it is at; 0 takes it back."""
    signal.setitimer(signal.ITIMER_REAL, seconds)


@dataclass
class Holding:
    """One process's hold on the lease, reckoned by its own steady clock."""

    seconds: float
    holder: str = field(default_factory=own_name)
    ends: float = 0.0

    @property
    def margin(self) -> float:
        return min(5.0, self.seconds / 5)

    @property
    def left(self) -> float:
        """Seconds for which it is ours for certain."""
        return self.ends - self.margin - clock.steady()

    def take(self) -> bool:
        """Take or renew it. Raises where the database can't be asked."""
        asked = clock.steady()
        is_ours = records.lease_take(
            name=NAME, holder=self.holder, seconds=self.seconds
        )
        self.ends = asked + self.seconds if is_ours else 0.0
        return is_ours

    def give_up(self) -> None:
        self.ends = 0.0
        records.lease_give_up(name=NAME, holder=self.holder)


class JobProcess:
    """Stands by until the lease is free, then runs what is due until told to stop."""

    def __init__(self, seconds: float, alarm: Alarm = end_in) -> None:
        self.holding = Holding(seconds)
        self.stopped = threading.Event()
        self.alarm = alarm
        self.is_at_work = False
        self.arming = threading.Lock()

    @property
    def pulse(self) -> float:
        """Seconds between two looks: for the lease, for what is due."""
        return min(2.0, self.holding.seconds / 10)

    def stop(self) -> None:
        self.stopped.set()

    def may_go_on(self) -> bool:
        return not self.stopped.is_set() and self.holding.left > 0

    def run(self) -> None:
        while not self.stopped.is_set():
            try:
                jobs.let_go()
                if self.holding.take():
                    self.hold()
            except Error as error:
                log.warning("The database can't be asked: %s", jobs.told_of(error))
            self.stopped.wait(self.pulse)

    def run_once(self) -> int | None:
        """What is due now; ``None`` where another process has the jobs."""
        if not self.holding.take():
            return None
        with self.renewing():
            done = self.work()
        self.holding.give_up()
        return done

    def hold(self) -> None:
        log.info("The jobs are ours: %s", self.holding.holder)
        with self.renewing():
            while self.may_go_on():
                jobs.let_go()
                self.work()
                self.stopped.wait(self.pulse)
        if self.holding.left > 0:
            self.holding.give_up()
            log.info("The jobs are given up: %s", self.holding.holder)

    def work(self) -> int:
        self._arm(is_at_work=True)
        try:
            return jobs.run_due(self.may_go_on)
        finally:
            self._arm(is_at_work=False)

    def _arm(self, *, is_at_work: bool) -> None:
        with self.arming:
            self.is_at_work = is_at_work
            self.alarm(max(self.holding.left, 0.001) if is_at_work else 0)

    @contextmanager
    def renewing(self) -> Iterator[None]:
        """Renew the lease from another thread, well before it ends."""
        over = threading.Event()
        thread = threading.Thread(target=self._renew, args=(over,), daemon=True)
        thread.start()
        try:
            yield
        finally:
            over.set()
            thread.join(self.holding.seconds)

    def _renew(self, over: threading.Event) -> None:
        wait = self.holding.seconds / 3
        while not over.wait(wait):
            try:
                if not self.holding.take():
                    log.warning("Another process has the jobs now.")
                    break
                wait = self.holding.seconds / 3
                with self.arming:
                    if self.is_at_work:
                        self.alarm(max(self.holding.left, 0.001))
            except Error as error:
                wait = min(SOON, wait)
                told = jobs.told_of(error)
                log.warning("The jobs' lease is not renewed yet: %s", told)
        connection.close()
