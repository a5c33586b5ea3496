"""Servers of the tests' own: free ports, processes, a client that trusts one CA."""

import http.client
import json
import os
import signal
import socket
import ssl
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parent.parent
NAME = "coldrail.local"
TELL = (
    "import json, sys; from django.conf import settings; "
    "print(json.dumps({name: getattr(settings, name) for name in sys.argv[1:]}))"
)
# Signing in is not what these tests are about.
OFFERED = {"SECOND_FACTOR": "offered"}


def free_port() -> int:
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        port: int = one.getsockname()[1]
    return port


def surroundings(data: Path, **more: str) -> dict[str, str]:
    """The environment of a shop's server, with nothing of this test run in it."""
    gone = ("COLDRAIL", "DATABASE_URL", "SECRET_KEY", "PYTEST", "DJANGO", "ALLOWED")
    kept = {k: v for k, v in os.environ.items() if not k.startswith(gone)}
    return (
        kept | {"COLDRAIL_DATA": str(data), "COLDRAIL_CLOUDS": "never"} | OFFERED | more
    )


def manage(
    data: Path, *arguments: str, given: str = "", **more: str
) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), *arguments],
        env=surroundings(data, **more),
        cwd="/",
        input=given,
        capture_output=True,
        text=True,
        timeout=240,
        check=False,
    )


def settings_in(data: Path, *names: str, **more: str) -> dict[str, Any]:
    """What a process of those surroundings is set to; it loads the settings alone."""
    done = subprocess.run(
        [sys.executable, "-c", TELL, *names],
        env=surroundings(data, DJANGO_SETTINGS_MODULE="shop.settings", **more),
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    told: dict[str, Any] = json.loads(done.stdout)
    return told


def wait_until(is_so: Callable[[], bool], seconds: float = 180) -> None:
    until = time.monotonic() + seconds
    while not is_so():
        assert time.monotonic() < until, "it never came"
        time.sleep(0.05)


@dataclass
class Served:
    """A running ``serve --lan``."""

    data: Path
    port: int
    trust_port: int
    log: Path
    process: subprocess.Popen[bytes]

    @property
    def authority(self) -> Path:
        return self.data / "tls" / "authority.crt"

    def connection(self, host: str = NAME, seconds: float = 20) -> "Trusting":
        return Trusting(host, self.port, self.authority, seconds)

    def get(self, path: str) -> http.client.HTTPResponse:
        asking = self.connection()
        asking.request("GET", path)
        return asking.getresponse()

    def get_plain(self, path: str) -> http.client.HTTPResponse:
        asking = http.client.HTTPConnection("127.0.0.1", self.trust_port, timeout=20)
        asking.request("GET", path, headers={"Host": f"{NAME}:{self.trust_port}"})
        return asking.getresponse()

    def stop(self, seconds: float = 40) -> int:
        self.process.send_signal(signal.SIGTERM)
        return self.process.wait(timeout=seconds)


class Trusting(http.client.HTTPSConnection):
    """Asks a server at home by a name of the shop's, trusting one authority alone."""

    def __init__(self, host: str, port: int, authority: Path, seconds: float) -> None:
        self.trust = ssl.create_default_context(cafile=str(authority))
        super().__init__(host, port, timeout=seconds, context=self.trust)

    def connect(self) -> None:
        plain = socket.create_connection(("127.0.0.1", self.port), self.timeout)
        self.sock = self.trust.wrap_socket(plain, server_hostname=self.host)


@contextmanager
def served(data: Path, *switches: str, has_jobs: bool = False) -> Iterator[Served]:
    """``serve --lan`` as a person starts it, from another folder than ours."""
    port, trust_port = free_port(), free_port()
    quiet = ["--without-name", "--workers", "2"]
    quiet += [] if has_jobs else ["--without-jobs"]
    ports = ("--port", str(port), "--trust-port", str(trust_port))
    command = [sys.executable, str(ROOT / "manage.py"), "serve", "--lan"]
    log = data.parent / "serve.log"
    with log.open("wb") as out:
        process = subprocess.Popen(
            [*command, *ports, *quiet, *switches],
            env=surroundings(data),
            cwd=data.parent,
            stdout=out,
            stderr=subprocess.STDOUT,
        )
    state = Served(data, port, trust_port, log, process)
    try:
        wait_until(lambda: "Stop with Ctrl-C" in log.read_text() or is_over(process))
        assert not is_over(process), log.read_text()
        yield state
    finally:
        if not is_over(process):
            state.stop()


def is_over(process: subprocess.Popen[bytes]) -> bool:
    return process.poll() is not None
