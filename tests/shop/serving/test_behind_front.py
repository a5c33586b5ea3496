"""The front's process before real sync workers: who asks, by which scheme, how fast."""

import http.client
import json
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.serving import ROOT, surroundings, wait_until

pytestmark = pytest.mark.one_database

ECHO = "tests.shop.serving.echo:application"
FORGED = {
    "X-Forwarded-Proto": "https",
    "X-Forwarded-For": "203.0.113.9",
    "X-Real-IP": "203.0.113.9",
    "SCRIPT_NAME": "/office",
    "SCRIPT-NAME": "/office",
    "PATH_INFO": "/office/",
}


class Pair:
    """Two workers, and the front before them."""

    def __init__(self, folder: Path) -> None:
        self.web = folder / "web"
        self.sock = socket.create_server(("127.0.0.1", 0), backlog=64)
        self.port: int = self.sock.getsockname()[1]
        workers = ["gunicorn", ECHO, "--bind", f"unix:{self.web}", "--workers", "2"]
        rules = ["-c", "python:shop.serving.worker_settings"]
        self.workers = self.start(folder, [*workers, *rules])
        wait_until(self.web.exists)
        self.front = self.start_front(folder)

    def start(self, folder: Path, arguments: list[str]) -> subprocess.Popen[bytes]:
        return subprocess.Popen(
            [sys.executable, "-m", *arguments],
            env=surroundings(folder),
            cwd=ROOT,
            pass_fds=[self.sock.fileno()],
        )

    def start_front(self, folder: Path) -> subprocess.Popen[bytes]:
        shop = ["--web", str(self.web), "--shop", str(self.sock.fileno())]
        return self.start(folder, ["shop.serving.front_process", *shop])

    def ask(
        self,
        path: str = "/",
        headers: dict[str, str] | None = None,
        body: bytes = b"",
    ) -> dict[str, str]:
        asking = http.client.HTTPConnection("127.0.0.1", self.port, timeout=20)
        asking.request("POST" if body else "GET", path, body or None, headers or {})
        told: dict[str, str] = json.loads(asking.getresponse().read())
        asking.close()
        return told

    def connect(self) -> socket.socket:
        return socket.create_connection(("127.0.0.1", self.port))

    def stop(self) -> None:
        for process in (self.front, self.workers):
            process.terminate()
            process.wait(timeout=30)
        self.sock.close()


@pytest.fixture(scope="module")
def pair(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Pair]:
    state = Pair(tmp_path_factory.mktemp("pair"))
    yield state
    state.stop()


def test_the_worker_knows_who_asks(pair: Pair) -> None:
    told = pair.ask("/a")
    assert (told["REMOTE_ADDR"], told["PATH_INFO"]) == ("127.0.0.1", "/a")


def test_what_a_visitor_says_of_itself_counts_for_nothing(pair: Pair) -> None:
    """gunicorn trusts the peer of a Unix socket in all these, unless told not to."""
    told = pair.ask("/a", FORGED)
    assert told["REMOTE_ADDR"] == "127.0.0.1"
    assert told["wsgi.url_scheme"] == "http"
    assert (told["SCRIPT_NAME"], told["PATH_INFO"]) == ("", "/a")


def test_a_large_body_comes_through_whole(pair: Pair) -> None:
    assert pair.ask("/", body=b"x" * 5_000_000)["taken"] == 5_000_000  # type: ignore[comparison-overlap]


def seconds_for_ten(pair: Pair) -> float:
    begun = time.monotonic()
    for _one in range(10):
        pair.ask()
    return time.monotonic() - begun


def test_idle_connections_hold_no_worker(pair: Pair) -> None:
    """Twenty spare connections, half of them in the middle of a request."""
    alone = seconds_for_ten(pair)
    idle = [pair.connect() for _one in range(20)]
    for one in idle[::2]:
        one.sendall(b"POST /a HTTP/1.1\r\nContent-Length: 9\r\n\r\nhal")
    beside = seconds_for_ten(pair)
    for one in idle:
        one.close()
    assert beside < alone + 2


def test_straight_at_the_workers_two_would_hold_both(pair: Pair) -> None:
    """Why there is a front at all: the same, without it."""
    held = [socket.socket(socket.AF_UNIX) for _one in range(2)]
    for one in held:
        one.connect(str(pair.web))
        time.sleep(0.2)
    with socket.socket(socket.AF_UNIX) as asking:
        asking.settimeout(1)
        asking.connect(str(pair.web))
        asking.sendall(b"GET / HTTP/1.1\r\nHost: a\r\n\r\n")
        with pytest.raises(TimeoutError):
            asking.recv(1)
    for one in held:
        one.close()
    assert pair.ask()["REMOTE_ADDR"] == "127.0.0.1"


def test_an_open_request_ends_before_the_front_does(pair: Pair, tmp_path: Path) -> None:
    told: list[dict[str, str]] = []
    asking = threading.Thread(target=lambda: told.append(pair.ask("/slow")))
    asking.start()
    time.sleep(0.5)
    pair.front.send_signal(signal.SIGTERM)
    asking.join(timeout=20)
    assert told[0]["PATH_INFO"] == "/slow"
    assert pair.front.wait(timeout=20) == 0
    pair.front = pair.start_front(tmp_path)
    assert pair.ask("/again")["PATH_INFO"] == "/again"
