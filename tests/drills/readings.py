"""Readings that outlive the server: workers killed while a tablet sends.

A live server of two workers on loopback. A tablet sends readings one after the
other, each with its key; a worker is killed at random moments; what got no
answer is sent again with the same key. Every acknowledged reading must be there
exactly once, in order.
"""

import http.client
import random
import signal
import socket
import subprocess
import sys
import time
import uuid
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

from tests.drills.place import Result, killed_at_the_end, started

TRIES = 40
OVER_HTTP = {"Content-Type": "application/x-www-form-urlencoded"}


@dataclass
class Tablet:
    """Sends forms with a session, and sends again until there is an answer."""

    port: int
    cookies: str
    token: str
    resent: int = 0
    refused: list[str] = field(default_factory=list)

    def send(self, path: str, form: dict[str, str], key: str) -> bool:
        body = urlencode(form | {"csrfmiddlewaretoken": self.token})
        headers = OVER_HTTP | {"Cookie": self.cookies, "Idempotency-Key": key}
        for _try in range(TRIES):
            try:
                status = self._once(path, body, headers)
            except (OSError, http.client.HTTPException):
                self.resent += 1
                time.sleep(0.05)
                continue
            if status < 400:
                return True
            self.refused.append(f"{path}: {status}")
            return False
        return False

    def _once(self, path: str, body: str, headers: dict[str, str]) -> int:
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=5)
        try:
            line.request("POST", path, body, headers)
            answer = line.getresponse()
            answer.read()
            return answer.status
        finally:
            line.close()


def run(seed: int, rounds: int) -> Result:
    from diagnostics.models import Reading
    from tests.drills.scene import scene

    chance = random.Random(seed)
    place = scene()
    port = _free_port()
    server = started(
        *("-m", "gunicorn", "shop.wsgi", "--workers", "2"),
        *("--bind", f"127.0.0.1:{port}", "--log-level", "error"),
    )
    sent, kills = [], 0
    with killed_at_the_end(server):
        _wait_for(port)
        tablet = Tablet(port, place.cookies, place.token)
        for n in range(rounds):
            if chance.random() < 0.15:
                kills += _kill_a_worker(server, chance)
            own = str(uuid.uuid4())
            form = {
                "uuid": own,
                "point_id": "k04/leads",
                "check": "k04",
                "typed": f"0.{n % 90 + 10}",
            }
            if tablet.send(place.path, form, own):
                sent.append(own)
    kept = list(
        Reading.objects.filter(board_id=place.board_id)
        .order_by("id")
        .values_list("uuid", flat=True)
    )
    lost = list(tablet.refused[:3])
    if [str(one) for one in kept] != sent:
        lost.append(f"{len(sent)} acknowledged, {len(kept)} kept, or another order")
    counts = {"sent": len(sent), "kills": kills, "sent again": tablet.resent}
    return Result("readings", counts, tuple(lost))


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def _wait_for(port: int) -> None:
    for _try in range(200):
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.05)
    raise RuntimeError("the server did not start")


def _kill_a_worker(server: "subprocess.Popen[str]", chance: random.Random) -> int:
    """Kill one worker a moment from now, while a request is on its way."""
    children = Path(f"/proc/{server.pid}/task/{server.pid}/children")
    workers = [int(pid) for pid in children.read_text().split()]
    if not workers:
        return 0
    victim = chance.choice(workers)
    delay = chance.uniform(0, 0.03)
    code = (
        f"import os,time; time.sleep({delay}); os.kill({victim}, {int(signal.SIGKILL)})"
    )
    subprocess.Popen([sys.executable, "-S", "-c", code], stderr=subprocess.DEVNULL)
    return 1
