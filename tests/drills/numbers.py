"""Numbers without a gap: many processes, forced rollbacks, kills.

Each worker opens tickets as the counter does. A fifth of them are rolled back
at the last moment; some workers are killed in the middle. Whatever happens, the
tickets that exist must carry the numbers 1 to k.
"""

import os
import random
import subprocess
import sys
import time

from tests.drills.place import Result, started

WORKERS = 4
ROLLED_BACK = 0.2


class ChangedMind(Exception):
    """The act is rolled back at its very end."""


def run(seed: int, rounds: int) -> Result:
    from shop.intake.models import Ticket
    from tests.factories import PersonFactory, ShopFactory

    chance = random.Random(seed)
    shop = ShopFactory.create(name=f"drill {seed}")
    person = PersonFactory.create(shop=shop, roles=["front_desk"])
    kills = 0
    workers = [_worker(person.pk, seed + n, rounds) for n in range(WORKERS)]
    for n in range(rounds // 10):
        time.sleep(chance.uniform(0.05, 0.3))
        victim = chance.randrange(WORKERS)
        if workers[victim].poll() is None:
            workers[victim].kill()
            kills += 1
            workers[victim].communicate()
            workers[victim] = _worker(person.pk, seed + 100 + n, rounds)
    said = [worker.communicate() for worker in workers]
    lost = [
        err[-300:] for (_out, err), w in zip(said, workers, strict=True) if w.returncode
    ]
    serials = sorted(Ticket.objects.filter(shop=shop).values_list("serial", flat=True))
    if serials != list(range(1, len(serials) + 1)):
        lost.append(f"a gap or a twin in {len(serials)} numbers")
    return Result("numbers", {"tickets": len(serials), "kills": kills}, tuple(lost))


def _worker(person_id: int, seed: int, rounds: int) -> "subprocess.Popen[str]":
    return started("-m", "tests.drills.numbers", str(person_id), str(seed), str(rounds))


def work(person_id: int, seed: int, rounds: int) -> None:
    """A worker's own loop, in its own process."""
    from django.db import transaction

    from shop.people.models import Person
    from tests.factories import TicketFactory

    chance = random.Random(seed)
    person = Person.objects.get(pk=person_id)
    for _turn in range(rounds):
        try:
            with transaction.atomic():
                TicketFactory.create(by=person)
                if chance.random() < ROLLED_BACK:
                    raise ChangedMind
        except ChangedMind:
            continue


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    import django

    django.setup()
    work(*map(int, sys.argv[1:4]))
