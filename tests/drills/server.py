"""A live server of several workers on loopback, and a sender that insists."""

import hashlib
import http.client
import random
import socket
import subprocess
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from http import HTTPStatus
from pathlib import Path
from urllib.parse import urlencode

from tests.drills.place import kill, started

LOOPBACK = "127.0.0.1"
PATIENCE = 20.0  # seconds for one answer: both workers may be starting
TRIES = 60
BETWEEN_KILLS = 3
HANGS_UP = 0.15
BROKEN = (OSError, http.client.HTTPException)
FORM = {"Content-Type": "application/x-www-form-urlencoded"}


@dataclass(frozen=True)
class Answer:
    """As much of a response as tells whether two are the same."""

    status: int
    location: str
    body: str

    @property
    def is_done(self) -> bool:
        return self.status < HTTPStatus.BAD_REQUEST


@dataclass(frozen=True)
class Session:
    """A person who is signed in: the cookies and the form's token."""

    cookies: str
    token: str


@dataclass(frozen=True)
class Server:
    process: "subprocess.Popen[bytes]"
    port: int

    def post(
        self,
        who: Session,
        path: str,
        form: dict[str, str],
        key: str,
        *,
        waits: bool = True,
    ) -> Answer | None:
        """Send a form once. Raises where the connection breaks.

        Who doesn't wait hangs up before the answer, and never hears it.
        """
        with self.asked(who, path, form, {"Idempotency-Key": key}) as line:
            return read(line.getresponse()) if waits else None

    @contextmanager
    def asked(
        self,
        who: Session,
        path: str,
        form: Mapping[str, str] | None = None,
        headers: Mapping[str, str] | None = None,
    ) -> Iterator[http.client.HTTPConnection]:
        """A page was asked for, or a form sent: its answer can be read."""
        own = {"Cookie": who.cookies} | dict(headers or {})
        line = http.client.HTTPConnection(LOOPBACK, self.port, timeout=PATIENCE)
        try:
            if form is None:
                line.request("GET", path, headers=own)
            else:
                body = urlencode({**form, "csrfmiddlewaretoken": who.token})
                line.request("POST", path, body, FORM | own)
            yield line
        finally:
            line.close()

    def workers(self) -> list[int]:
        pid = self.process.pid
        children = Path(f"/proc/{pid}/task/{pid}/children")
        return [int(child) for child in children.read_text().split()]


def read(answer: http.client.HTTPResponse) -> Answer:
    digest = hashlib.sha256(answer.read()).hexdigest()
    return Answer(answer.status, answer.headers.get("Location", ""), digest)


@dataclass
class Sender:
    """Sends forms one after the other, each again until there is an answer.

    Now and then it hangs up first: done or not, it has to ask again.
    """

    server: Server
    who: Session
    chance: random.Random
    hung_up: int = 0
    sent_again: int = 0
    longest: float = 0.0

    def insist(self, path: str, form: dict[str, str], key: str) -> Answer | None:
        start = time.monotonic()
        if self.chance.random() < HANGS_UP:
            self.hang_up(path, form, key)
        for _try in range(TRIES):
            try:
                answer = self.server.post(self.who, path, form, key)
            except BROKEN:
                self.sent_again += 1
                time.sleep(0.05)
                continue
            self.longest = max(self.longest, time.monotonic() - start)
            return answer
        return None

    def hang_up(self, path: str, form: dict[str, str], key: str) -> None:
        self.hung_up += 1
        with suppress(*BROKEN):
            self.server.post(self.who, path, form, key, waits=False)
        time.sleep(self.chance.uniform(0, 0.2))


@contextmanager
def serving(workers: int, env: Mapping[str, str] | None = None) -> Iterator[Server]:
    """Gunicorn as a shop runs it, on a free port of loopback, gone at the end."""
    port = free_port()
    process = started(
        *("-m", "gunicorn", "shop.wsgi", "--workers", str(workers)),
        *("--bind", f"{LOOPBACK}:{port}", "--log-level", "critical"),
        env=env,
    )
    try:
        wait_for(port)
        yield Server(process, port)
    finally:
        process.terminate()
        try:
            process.wait(10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind((LOOPBACK, 0))
        port: int = probe.getsockname()[1]
        return port


def wait_for(port: int) -> None:
    for _try in range(200):
        with socket.socket() as probe:
            if probe.connect_ex((LOOPBACK, port)) == 0:
                return
        time.sleep(0.05)
    raise RuntimeError("the server did not start")


class Killer(threading.Thread):
    """Kills the worker that serves, at random moments, until stopped or done.

    Between two kills some forms must have been answered, so that what is killed
    is a worker at work and not one that is just starting.
    """

    def __init__(
        self,
        server: Server,
        chance: random.Random,
        most: int,
        answered: Callable[[], int],
    ) -> None:
        super().__init__(daemon=True)
        self.server, self.chance, self.most = server, chance, most
        self.answered = answered
        self.kills = 0
        self.stopped = threading.Event()

    def run(self) -> None:
        seen = 0
        while self.kills < self.most:
            if self.stopped.wait(self.chance.uniform(0.005, 0.05)):
                return
            workers = self.server.workers()
            if workers and self.answered() >= seen + BETWEEN_KILLS:
                seen = self.answered()
                self.kills += kill(min(workers))  # the oldest

    def stop(self) -> int:
        self.stopped.set()
        self.join()
        return self.kills
