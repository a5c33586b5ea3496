"""Numbers without a gap: many processes, forced rollbacks, kills.

Each worker takes machines in and bills them, and writes down what was done. A
fifth of the acts are rolled back at their very end; workers are killed while
they work and started again. Whatever happens, tickets and invoices carry the
numbers 1 to k, and everything that was written down is there.
"""

import os
import random
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from tests.drills import faults
from tests.drills.place import Result, started

Kept = TypeVar("Kept")

if TYPE_CHECKING:
    import subprocess

    from shop.people.models import Shop

WORKERS = 4
ROLLED_BACK = 0.2
MOST_KILLS = 20
DEADLINE = 600.0  # seconds; the drill stops by itself


class ChangedMind(Exception):
    """The act is rolled back at its very end."""


class Worker:
    """A process that works, is killed and goes on where it stopped."""

    def __init__(
        self,
        person_id: int,
        seed: int,
        turns: int,
        done: Path,
        *,
        module: str = "tests.drills.numbers",
        more: tuple[str, ...] = (),
    ) -> None:
        self.person_id, self.seed, self.turns, self.done = person_id, seed, turns, done
        self.module, self.more = module, more
        self.lives = 0
        done.touch()
        self.start()

    def start(self) -> None:
        self.lives += 1
        self.noted = len(self.acknowledged())
        left = self.turns - self.count("turn")
        given = (self.person_id, self.seed + 1000 * self.lives, left, self.done)
        self.process: subprocess.Popen[bytes] = started(
            "-m", self.module, *map(str, given), *self.more
        )

    def acknowledged(self) -> list[tuple[str, int]]:
        """What it wrote down; a line cut short by a kill was not finished."""
        whole, _newline, _cut = self.done.read_text().rpartition("\n")
        pairs = (line.split() for line in whole.splitlines())
        return [(what, int(number)) for what, number in pairs]

    def count(self, what: str) -> int:
        return sum(one == what for one, _number in self.acknowledged())

    @property
    def is_working(self) -> bool:
        is_alive = self.process.poll() is None
        return is_alive and len(self.acknowledged()) > self.noted

    def kill(self) -> None:
        self.process.kill()
        self.process.wait()


def run(seed: int, rounds: int) -> Result:
    from tests.drills.scene import shop_and_person

    shop, person = shop_and_person()
    with tempfile.TemporaryDirectory(prefix="coldrail-drill-") as folder:
        workers = [
            Worker(person.pk, seed + n, rounds, Path(folder, str(n)))
            for n in range(WORKERS)
        ]
        kills, lost = to_the_end(workers, seed, rounds)
        done = [one for worker in workers for one in worker.acknowledged()]
    lost += found_wrong(shop, done)
    return Result("numbers", counts_of(shop, done, kills), tuple(lost))


def to_the_end(workers: list[Worker], seed: int, rounds: int) -> tuple[int, list[str]]:
    """Kill some while they work, wait for all: how many kills, and who failed."""
    try:
        kills = kill_some(workers, random.Random(seed), rounds)
        codes = [worker.process.wait(DEADLINE) for worker in workers]
    finally:
        for worker in workers:
            worker.kill()
    return kills, [f"a worker ended with {code}" for code in codes if code]


def kill_some(workers: list[Worker], chance: random.Random, rounds: int) -> int:
    """Kill workers in the middle of their work and start them again."""
    kills, start = 0, time.monotonic()
    while kills < min(MOST_KILLS, rounds // 5 + 1):
        working = [worker for worker in workers if worker.is_working]
        is_over = all(worker.process.poll() is not None for worker in workers)
        if is_over or time.monotonic() - start > DEADLINE:
            break
        time.sleep(chance.uniform(0.005, 0.1))
        if working:
            victim = chance.choice(working)
            if victim.process.poll() is None:
                victim.kill()
                victim.start()
                kills += 1
    return kills


def found_wrong(shop: "Shop", done: list[tuple[str, int]]) -> Iterator[str]:
    from shop.billing.models import Invoice
    from shop.intake.models import Ticket
    from shop.records.models import Event, NumberSeries

    for what, model in (("ticket", Ticket), ("invoice", Invoice)):
        rows = model._default_manager.filter(shop=shop)
        serials = list(rows.values_list("serial", flat=True))
        yield from faults.not_one_to_k(what, serials)
        own = [number for one, number in done if one == what]
        yield from faults.not_kept(what, own, serials)
        series = NumberSeries.objects.get(shop_id=shop.pk, kind=what)
        if series.next_number != len(serials) + 1:
            yield f"the next {what} would be {series.next_number} of {len(serials)}"
    halves = {
        "a ticket without its event": Ticket.objects.filter(shop=shop).count()
        - Event.objects.filter(shop_id=shop.pk, kind="ticket_opened").count(),
        "an invoice without its event": Invoice.objects.filter(shop=shop).count()
        - Event.objects.filter(shop_id=shop.pk, kind="invoice_issued").count(),
        "an invoice without a line": Invoice.objects.filter(
            shop=shop, lines=None
        ).count(),
    }
    yield from (what for what, count in halves.items() if count)


def counts_of(shop: "Shop", done: list[tuple[str, int]], kills: int) -> dict[str, int]:
    rolled_back = sum(what == "rolled_back" for what, _number in done)
    return {
        "tickets": shop.tickets.count(),
        "invoices": shop.invoices.count(),
        "rolled back": rolled_back,
        "kills": kills,
    }


# --- in a worker's own process ----------------------------------------------


def work(person_id: int, seed: int, turns: int, done: Path) -> None:
    from shop.desk import services as desk
    from shop.people.models import Person
    from tests.factories import TicketFactory

    chance = random.Random(seed)
    person = Person.objects.get(pk=person_id)
    with done.open("a", buffering=1) as file:
        for turn in range(turns):
            take_in = partial(TicketFactory.create, by=person)
            ticket = kept(take_in, chance)
            file.write(f"ticket {ticket.serial}\n" if ticket else "rolled_back 0\n")
            if ticket:
                issue = partial(desk.invoice_issue, ticket=ticket, by=person)
                bill = kept(issue, chance)
                file.write(f"invoice {bill.serial}\n" if bill else "rolled_back 0\n")
            file.write(f"turn {turn}\n")


def kept(act: Callable[[], Kept], chance: random.Random) -> Kept | None:
    """Do an act, or undo it in the last moment."""
    from django.db import transaction

    try:
        with transaction.atomic():
            made = act()
            if chance.random() < ROLLED_BACK:
                raise ChangedMind
    except ChangedMind:
        return None
    return made


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    import django

    django.setup()
    told_person, told_seed, told_turns = map(int, sys.argv[1:4])
    work(told_person, told_seed, told_turns, Path(sys.argv[4]))
