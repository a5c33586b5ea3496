"""A mail server on loopback that takes everything, and may kill who brings it.

As much of SMTP (RFC 5321) as Django's backend speaks: every letter that was
acknowledged, or was about to be, is kept.
"""

import re
import socketserver
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import ClassVar

STAGES = ("connect", "rcpt", "data", "taken", "acknowledged")
MESSAGE_ID = re.compile(rb"^Message-ID: (\S+)", re.MULTILINE | re.IGNORECASE)
AT = re.compile(r"<([^<>]*)>")
OnStage = Callable[[str, str], None]


@dataclass(frozen=True)
class Visit:
    """One connection: whose letters, from when to when."""

    sender: str
    start: float
    end: float


@dataclass
class Office:
    """What has come in: (Message-ID, recipient) of each letter, and the visits."""

    port: int = 0
    letters: list[tuple[str, str]] = field(default_factory=list)
    visits: list[Visit] = field(default_factory=list)
    on_stage: OnStage = lambda _stage, _recipient: None
    lock: threading.Lock = field(default_factory=threading.Lock)


class Counter(socketserver.StreamRequestHandler):
    """One connection. ``on_stage`` is told before each answer."""

    office: ClassVar[Office]

    def handle(self) -> None:
        start, self.sender, self.recipient = time.monotonic(), "", ""
        try:
            self.office.on_stage("connect", "")
            self.say("220 here")
            while line := self.rfile.readline():
                if not self.answer(line.decode().strip()):
                    break
        except OSError:
            pass  # whoever was talking is gone
        with self.office.lock:
            visit = Visit(self.sender, start, time.monotonic())
            self.office.visits.append(visit)

    def say(self, line: str) -> None:
        self.wfile.write(f"{line}\r\n".encode())

    def answer(self, line: str) -> bool:
        word = line[:4].upper()
        if word == "MAIL":
            self.sender = address(line)
        elif word == "RCPT":
            self.recipient = address(line)
            self.office.on_stage("rcpt", self.recipient)
        elif word == "DATA":
            self.take()
            return True
        self.say("221 bye" if word == "QUIT" else "250 ok")
        return word != "QUIT"

    def take(self) -> None:
        self.office.on_stage("data", self.recipient)
        self.say("354 go on")
        lines = []
        while (line := self.rfile.readline()) not in {b".\r\n", b""}:
            lines.append(line)
        if not line:
            return
        name = MESSAGE_ID.search(b"".join(lines))
        with self.office.lock:
            told = name[1].decode() if name else "none"
            self.office.letters.append((told, self.recipient))
        self.office.on_stage("taken", self.recipient)
        self.say("250 taken")
        self.office.on_stage("acknowledged", self.recipient)


def address(line: str) -> str:
    found = AT.search(line)
    return found[1] if found else ""


class Building(socketserver.ThreadingTCPServer):
    allow_reuse_address = True
    daemon_threads = True


@contextmanager
def post_office() -> Iterator[Office]:
    office = Office()
    own = type("OwnCounter", (Counter,), {"office": office})
    with Building(("127.0.0.1", 0), own) as building:
        office.port = building.server_address[1]
        thread = threading.Thread(target=building.serve_forever, daemon=True)
        thread.start()
        try:
            yield office
        finally:
            building.shutdown()
