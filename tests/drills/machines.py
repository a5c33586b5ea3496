"""Two machines on one database, and one of them lost.

Each has its own data folder, a web server and a job process; they share the
database and the keys. Tablets send readings, letters are brought. Then the machine
that has the jobs is lost: every process of it is killed. The other one answers the
same people, nothing is lost or doubled, and it has the jobs within the lease's time.
Who brings a letter says which machine it is, so that two at work would be seen.
"""

import http.client
import random
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import ExitStack
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from typing import Any

from tests.drills import faults, mails
from tests.drills.machine import LEASE, Machine, hurry, until
from tests.drills.place import ROOT, Result, kill
from tests.drills.post_office import Office, post_office
from tests.drills.server import BROKEN, Answer, Server, Session, serving

NAMES = ("one", "two")
PATIENCE = 60.0
SLACK = 5.0  # seconds beside the lease: a look every pulse, on a busy machine
COUNT = (
    "import django; django.setup(); from django.core.cache import cache; "
    "cache.add('drill', 0); print(cache.incr('drill'))"
)


@dataclass
class Running:
    """A machine at work."""

    machine: Machine
    server: Server
    jobs: "subprocess.Popen[bytes]"

    def lose(self) -> None:
        """The plug is pulled: nothing of it says good-bye."""
        workers = self.server.workers()
        self.server.process.kill()
        self.jobs.kill()
        for pid in workers:
            kill(pid)
        self.server.process.wait()
        self.jobs.wait()

    @property
    def host_and_pid(self) -> str:
        return f":{self.jobs.pid}:"


@dataclass
class EitherServer:
    """Sends to one machine, and to the other once that does not answer."""

    servers: list[Server]
    at: int = 0
    turned: int = field(default=0)

    def post(self, *what: Any, **how: Any) -> Answer | None:
        try:
            return self.servers[self.at].post(*what, **how)
        except BROKEN:
            self.at = (self.at + 1) % len(self.servers)
            self.turned += 1
            raise


def run(seed: int, rounds: int) -> Result:
    with (
        tempfile.TemporaryDirectory(prefix="coldrail-drill-") as folder,
        post_office() as office,
        ExitStack() as stack,
    ):
        machines = [Machine(name, Path(folder, name)) for name in NAMES]
        running = [started(machine, office, stack) for machine in machines]
        return lost_one(running, office, random.Random(seed), rounds)


def started(machine: Machine, office: Office, stack: ExitStack) -> Running:
    server = stack.enter_context(serving(1, env=machine.surroundings()))
    jobs = machine.jobs(office.port)
    stack.callback(jobs.wait)
    stack.callback(jobs.kill)
    return Running(machine, server, jobs)


def lost_one(
    running: list[Running], office: Office, chance: random.Random, rounds: int
) -> Result:
    from tests.drills import readings
    from tests.drills.scene import person_in, session_of, shop_and_person

    shop, _person = shop_and_person()
    person = person_in(shop)
    board = readings.a_board(person)
    either = EitherServer([one.server for one in running])
    tablet = readings.tablet(either, board, person, rounds, chance)  # type: ignore[arg-type]
    lost = list(not_shared(running, session_of(person)))
    mails.queue(rounds)
    tablet.start()
    taken_over, swapped = swap(running, tablet, either, rounds)
    tablet.join()
    if not until(all_brought, PATIENCE):
        lost.append("some letters never came")
    lost += tablet.refused
    lost += [] if either.turned else ["the tablet never turned to the other"]
    lost += swapped
    lost += readings_wrong(board.pk, tablet.acknowledged)
    lost += letters_wrong(office)
    counts = {
        "readings": len(tablet.acknowledged),
        "letters": len(office.letters),
        "turned to the other": either.turned,
        "ms until it had the jobs": round(taken_over * 1000),
    }
    return Result("machines", counts, tuple(lost))


def not_shared(running: list[Running], who: Session) -> Iterator[str]:
    """Sessions and counters are the same wherever one asks."""
    for one in running:
        if status(one.server, who) != 200:
            yield f"{one.machine.name} does not know who is signed in"
    counted = [
        subprocess.run(
            [sys.executable, "-c", COUNT],
            env={
                **one.machine.surroundings(),
                "DJANGO_SETTINGS_MODULE": "shop.settings",
            },
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=False,
        ).stdout.strip()
        for one in running
    ]
    if counted != ["1", "2"]:
        yield f"counters are not shared: {counted}"


def status(server: Server, who: Session) -> int:
    line = http.client.HTTPConnection("127.0.0.1", server.port, timeout=PATIENCE)
    try:
        line.request("GET", "/counter/", headers={"Cookie": who.cookies})
        return line.getresponse().status
    finally:
        line.close()


def swap(
    running: list[Running], tablet: Any, either: EitherServer, rounds: int
) -> tuple[float, list[str]]:
    """Lose the machine that has the jobs; how long until the other has them."""
    from shop.records import services as records
    from shop.records.job_process import NAME

    def at_work() -> Running | None:
        holder = records.lease_holder(NAME) or ""
        return next((one for one in running if one.host_and_pid in holder), None)

    def is_under_way() -> bool:
        hurry()
        return bool(at_work()) and len(tablet.acknowledged) >= rounds // 3

    if not until(is_under_way, PATIENCE):
        return 0.0, ["nobody had the jobs"]
    loser = at_work()
    assert loser is not None
    either.at = running.index(loser)  # the tablet is in the middle of it
    loser.lose()
    start = time.monotonic()
    other = next(one for one in running if one is not loser)

    def is_taken() -> bool:
        hurry()
        return at_work() is other

    if not until(is_taken, LEASE + SLACK):
        return time.monotonic() - start, ["the other did not take the jobs in time"]
    return time.monotonic() - start, []


def all_brought() -> bool:
    from shop.records.models import OutgoingMessage

    hurry()
    return not OutgoingMessage.objects.filter(sent_at=None, given_up_at=None).exists()


def readings_wrong(board_id: int, acknowledged: list[str]) -> Iterator[str]:
    from diagnostics.models import Reading

    kept = Reading.objects.filter(board_id=board_id).order_by("id")
    own = [str(one) for one in kept.values_list("uuid", flat=True)]
    yield from faults.not_exactly_once("reading", acknowledged, own)


def letters_wrong(office: Office) -> Iterator[str]:
    """Each once, at most one twice (the one in hand); never two machines at once."""
    names = [name for name, _recipient in office.letters]
    twice = sorted({name for name in names if names.count(name) > 1})
    if len(twice) > 1 or any(names.count(name) > 2 for name in twice):
        yield f"letters came again: {', '.join(twice)}"
    visits = sorted(office.visits, key=lambda visit: visit.start)
    for one, after in pairwise(visits):
        if one.sender != after.sender and after.start < one.end:
            yield f"{one.sender} and {after.sender} brought letters at once"


if __name__ == "__main__":
    import django

    django.setup()
    result = run(int(sys.argv[1]), int(sys.argv[2]))
    sys.exit(f"{result}" if result.lost else 0)
