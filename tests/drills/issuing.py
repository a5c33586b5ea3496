"""Papers under load: 64 threads in processes that are killed and started again.

Each thread sells at the counter, takes parts of what it sold back and pays money
back, over one series of invoices and one of credit notes; a fifth of the acts are
rolled back at their very end. Whatever happens, both series are 1 to k, every paper is
whole (its lines, its taxes, its event, its payment), no credit note takes more than
was left, and all that a process wrote down is there.
"""

import os
import random
import sys
import tempfile
import threading
from collections import Counter
from collections.abc import Callable, Iterator
from decimal import Decimal
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from tests.drills import faults
from tests.drills.numbers import Kept, Worker, kept, to_the_end
from tests.drills.place import Result

if TYPE_CHECKING:
    from shop.billing.models import Invoice
    from shop.people.models import Person, Shop

PROCESSES = 4
THREADS = 16  # in each process
Note = Callable[[str], object]
MODULE = "tests.drills.issuing"


def run(
    seed: int, rounds: int, processes: int = PROCESSES, threads: int = THREADS
) -> Result:
    """``rounds`` is how many turns each process has, shared by its threads."""
    from tests.drills.scene import shop_and_person

    shop, person = shop_and_person()
    with tempfile.TemporaryDirectory(prefix="coldrail-drill-") as folder:
        workers = [
            Worker(
                person.pk,
                seed + n,
                rounds,
                Path(folder, str(n)),
                module=MODULE,
                more=(str(threads),),
            )
            for n in range(processes)
        ]
        kills, lost = to_the_end(workers, seed, rounds)
        done = [one for worker in workers for one in worker.acknowledged()]
    lost += found_wrong(shop, done)
    counts = {
        "threads": processes * threads,
        "invoices": shop.invoices.filter(kind="invoice").count(),
        "credit notes": shop.invoices.filter(kind="credit_note").count(),
        "payments": shop.payments.count(),
        "rolled back": sum(what == "rolled_back" for what, _n in done),
        "waited too long and done again": sum(what == "waited" for what, _n in done),
        "kills": kills,
    }
    return Result("issuing", counts, tuple(lost))


def found_wrong(shop: "Shop", done: list[tuple[str, int]]) -> Iterator[str]:
    from shop.billing.models import Invoice
    from shop.records.models import Event, NumberSeries

    for kind in ("invoice", "credit_note"):
        rows = Invoice.objects.filter(shop=shop, kind=kind)
        serials = list(rows.values_list("serial", flat=True))
        yield from faults.not_one_to_k(kind, serials)
        own = [number for one, number in done if one == kind]
        yield from faults.not_kept(kind, own, serials)
        series = NumberSeries.objects.filter(shop_id=shop.pk, kind=kind).first()
        if series is not None and series.next_number != len(serials) + 1:
            yield f"the next {kind} would be {series.next_number} of {len(serials)}"
    issued = Event.objects.filter(shop_id=shop.pk, ids__has_key="invoice")
    told = Counter(ids["invoice"] for ids in issued.values_list("ids", flat=True))
    papers = Invoice.objects.filter(shop=shop)
    for paper in papers.prefetch_related("lines", "taxes", "payments", "credit_notes"):
        yield from half_of(paper)
        if told[paper.pk] != 1:
            yield f"{paper}: {told[paper.pk]} events"


def half_of(paper: "Invoice") -> Iterator[str]:
    """What of one paper is missing or does not add up."""
    lines, taxes = list(paper.lines.all()), list(paper.taxes.all())
    if not lines or sum(line.net_minor for line in lines) != paper.net_minor:
        yield f"{paper}: lines"
    if sum(part.tax_minor for part in taxes) != paper.tax_minor:
        yield f"{paper}: taxes"
    if paper.kind == "invoice":
        left = paper.total_minor + sum(n.total_minor for n in paper.credit_notes.all())
        if not 0 <= left <= paper.total_minor:
            yield f"{paper}: {left} is left"
        if not any(one.amount_minor > 0 for one in paper.payments.all()):
            yield f"{paper}: payment"
        if sum(one.amount_minor for one in paper.payments.all()) < 0:
            yield f"{paper}: more given back than paid"


# --- in a worker's own process ----------------------------------------------


def work(person_id: int, seed: int, turns: int, done: Path, threads: int) -> None:
    from shop.people.models import Person

    person = Person.objects.get(pk=person_id)
    writing = threading.Lock()
    shares = [turns // threads + (n < turns % threads) for n in range(threads)]
    wrong: list[BaseException] = []

    def one(number: int, share: int) -> None:
        try:
            thread(person, random.Random(seed * 1000 + number), share, note)
        except BaseException as error:
            wrong.append(error)
            raise
        finally:
            from django.db import connection

            connection.close()

    with done.open("a", buffering=1) as file:

        def note(line: str) -> None:
            with writing:
                file.write(line)

        running = [
            threading.Thread(target=one, args=(number, share))
            for number, share in enumerate(shares)
        ]
        for each in running:
            each.start()
        for each in running:
            each.join()
    if wrong:
        raise wrong[0]


def thread(person: "Person", chance: random.Random, turns: int, note: Note) -> None:
    """Sell; take some of it back; pay it back: each as an act of its own."""
    from shop.billing.models import Invoice

    shop = person.memberships.all()[0].shop
    for turn in range(turns):
        sold = patient(partial(sell, shop, person, chance), chance, note)
        note(f"invoice {sold.serial}\n" if sold else "rolled_back 0\n")
        if sold is not None:
            latest = Invoice.objects.filter(shop=shop, kind="invoice").latest("id")
            paper = chance.choice([sold, latest])
            back = patient(partial(credit, paper, person, chance), chance, note)
            note(f"credit_note {back.serial}\n" if back else "rolled_back 0\n")
        note(f"turn {turn}\n")


def patient(act: Callable[[], Kept], chance: random.Random, note: Note) -> Kept | None:
    """Do it again where SQLite's one writer was not free for too long."""
    from django.db import OperationalError

    while True:
        try:
            return kept(act, chance)
        except OperationalError as error:
            if "locked" not in str(error):
                raise
            note("waited 0\n")


def sell(shop: "Shop", person: "Person", chance: random.Random) -> "Invoice":
    from shop.billing import services
    from shop.money import Money

    sold = [
        services.Sold(
            text="Cable",
            quantity=Decimal(chance.randint(1, 3)),
            price=Money.from_minor(chance.randint(50, 9999), shop.currency),
            tax_percent=Decimal(chance.choice((20, 7))),
        )
        for _ in range(chance.randint(1, 3))
    ]
    made = services.sale_do(
        shop=shop, by=person, sold=sold, method="card", with_tax=False
    )
    return made.invoice


def credit(
    paper: "Invoice", person: "Person", chance: random.Random
) -> "Invoice | None":
    """A part of a line or all that is left, and its money back; or it is refused."""
    from shop.billing import owing, services
    from shop.money import Money
    from shop.records.errors import Refused

    first = owing.lines_left(paper)[0]
    part = Money.from_minor(max(1, first.net.minor // 2), paper.currency)
    takes = chance.choice([None, {first.place: part}])
    try:
        note = services.credit_note_issue(
            invoice=paper, by=person, reason="Drill", takes=takes
        )
        services.payment_take(
            shop=paper.shop,
            by=person,
            amount=note.total,
            method="card",
            invoice=paper,
            reason="Drill",
        )
    except Refused:
        from django.db import transaction

        transaction.set_rollback(True)
        return None
    return note


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    import django

    django.setup()
    if len(sys.argv) == 1:  # a small one, over the tables that are there
        small = run(seed=1, rounds=12, processes=2, threads=4)
        sys.stdout.write(f"{small}\n")
        sys.exit(bool(small.lost))
    told_person, told_seed, told_turns = map(int, sys.argv[1:4])
    work(told_person, told_seed, told_turns, Path(sys.argv[4]), int(sys.argv[5]))
