"""Letters, and the process that brings them killed at every step.

The mail server itself kills it: at the connection, the address, the text, once the
letter is taken, once it is acknowledged. Each message must arrive, with its own
Message-ID; twice only if its bringer was killed once it was taken and before that
was marked.
"""

import random
import tempfile
from collections import Counter
from collections.abc import Iterator
from itertools import cycle
from pathlib import Path

from tests.drills.machine import Machine, hurry, until
from tests.drills.place import Result
from tests.drills.post_office import STAGES, Office, post_office

MAY_COME_TWICE = {"taken", "acknowledged"}
PATIENCE = 60.0  # seconds without any letter
STEPS = 3  # letters between two kills


class Robber:
    """Kills who brings a letter, stage after stage, no letter's bringer twice."""

    def __init__(self, chance: random.Random, most: int) -> None:
        self.chance, self.most = chance, most
        self.stages = cycle(STAGES)
        self.next = next(self.stages)
        self.left = STEPS
        self.kills: list[tuple[str, str]] = []
        self.victim: list[object] = []

    def __call__(self, stage: str, recipient: str) -> None:
        self.left -= stage == "connect"
        robbed = {one for _stage, one in self.kills if one}
        if len(self.kills) >= self.most or self.left > 0 or stage != self.next:
            return
        if recipient in robbed or not self.victim:
            return
        process = self.victim.pop()
        process.kill()  # type: ignore[attr-defined]
        process.wait()  # type: ignore[attr-defined]
        self.kills.append((stage, recipient))
        self.next, self.left = next(self.stages), self.chance.randint(1, STEPS)


def run(seed: int, rounds: int) -> Result:
    chance = random.Random(seed)
    robber = Robber(chance, most=max(len(STAGES), rounds // 4))
    queue(rounds)
    with (
        tempfile.TemporaryDirectory(prefix="coldrail-drill-") as folder,
        post_office() as office,
    ):
        office.on_stage = robber
        is_done = bring_all(Machine("one", Path(folder)), office, robber)
        lost = [] if is_done else ["some letters never came"]
        lost += found_wrong(office, robber)
    came = Counter(name for name, _recipient in office.letters)
    counts = {
        "messages": rounds,
        "kills": len(robber.kills),
        "came twice": sum(count == 2 for count in came.values()),
    }
    return Result("mails", counts, tuple(lost))


def queue(count: int) -> None:
    from shop.records import services as records
    from tests.drills.scene import shop_and_person

    shop, _person = shop_and_person()
    for number in range(count):
        records.message_queue(
            shop_id=shop.pk,
            ticket_id=None,
            message_id=f"<{number}@drill.example>",
            channel="email",
            to=f"customer{number}@drill.example",
            subject="Your machine",
            text="It is ready.",
        )


def bring_all(machine: Machine, office: Office, robber: Robber) -> bool:
    """Let the letters be brought, by a new process whenever one was killed."""
    from shop.records.models import OutgoingMessage

    def is_over() -> bool:
        if not robber.victim:
            robber.victim.append(machine.jobs(office.port))
        hurry()
        return not OutgoingMessage.objects.filter(
            sent_at=None, given_up_at=None
        ).exists()

    seen = -1
    try:
        while len(office.letters) > seen:
            seen = len(office.letters)
            if until(is_over, PATIENCE):
                return True
    finally:
        for process in robber.victim:
            process.kill()  # type: ignore[attr-defined]
            process.wait()  # type: ignore[attr-defined]
    return False


def found_wrong(office: Office, robber: Robber) -> Iterator[str]:
    from shop.records.models import OutgoingMessage

    came = Counter(office.letters)
    twice = {who for stage, who in robber.kills if stage in MAY_COME_TWICE}
    for message in OutgoingMessage.objects.order_by("id"):
        count = came.pop((message.message_id, message.to), 0)
        if message.given_up_at:
            yield f"{message.message_id} was given up: {message.last_error}"
        if count != 1 and not (count == 2 and message.to in twice):
            yield f"{message.message_id} came {count} times"
    yield from (f"{name} was never queued" for name, _recipient in came)
    if {stage for stage, _who in robber.kills} != set(STAGES):
        yield "not every step was robbed"
