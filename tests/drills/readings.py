"""Readings and payments that outlive the server: workers killed in between.

A live server of two workers on loopback. Two tablets send readings, the counter
sends payments, each form with its key. Workers are killed while they serve, and
senders hang up before their answer; what got no answer is sent again with the
same key. Everything acknowledged must be there exactly once, in order, and
nothing else: no half record, no key left without its answer.
"""

import random
import threading
import uuid
from collections.abc import Iterator
from dataclasses import dataclass, field

from django.db import connection
from django.db.models import QuerySet
from django.urls import reverse

from diagnostics.models import Board, Reading
from shop.billing.models import Payment
from shop.intake.models import Ticket
from shop.people.models import Person, Shop
from shop.records.models import Event, KeptAnswer
from tests.drills import faults
from tests.drills.place import Result
from tests.drills.scene import person_in, session_of, shop_and_person
from tests.drills.server import Killer, Sender, Server, serving
from tests.factories import TicketFactory
from tests.samples import board_of

TABLETS = 2


@dataclass
class Work(threading.Thread):
    """One device that sends its forms in order, and what was acknowledged."""

    sender: Sender
    path: str
    forms: list[dict[str, str]]
    named_by: str  # the field that says which row it became
    acknowledged: list[str] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        super().__init__()

    __hash__ = threading.Thread.__hash__

    def run(self) -> None:
        for form in self.forms:
            own = form[self.named_by]
            answer = self.sender.insist(self.path, form, own)
            if answer is not None and answer.is_done:
                self.acknowledged.append(own)
            else:
                said = answer.status if answer else "no answer"
                self.refused.append(f"{self.path}: {said}")


def run(seed: int, rounds: int) -> Result:
    chance = random.Random(seed)
    shop, person = shop_and_person()
    holders = [person_in(shop) for _n in range(TABLETS)]
    boards = {a_board(holder): holder for holder in holders}
    paying = TicketFactory.create(by=person)
    with serving(workers=2) as server:
        tablets = [
            tablet(server, board, by, rounds, chance) for board, by in boards.items()
        ]
        till = counter(server, paying, person, rounds, chance)
        kills = all_done([*tablets, till], server, chance, most=rounds // 2)
    lost = list(found_wrong(shop, list(boards), tablets, paying, till))
    return Result("readings", counts_of(tablets, till, kills), tuple(lost))


def all_done(
    works: list[Work], server: Server, chance: random.Random, most: int
) -> int:
    """Let everybody send while workers are killed; how many were."""

    def answered() -> int:
        return sum(len(work.acknowledged) for work in works)

    killer = Killer(server, own_chance(chance), most, answered)
    for thread in (killer, *works):
        thread.start()
    for work in works:
        work.join()
    return killer.stop()


def counts_of(tablets: list[Work], till: Work, kills: int) -> dict[str, int]:
    senders = [work.sender for work in (*tablets, till)]
    return {
        "readings": sum(len(one.acknowledged) for one in tablets),
        "payments": len(till.acknowledged),
        "kills": kills,
        "hung up": sum(sender.hung_up for sender in senders),
        "sent again": sum(sender.sent_again for sender in senders),
        "ms longest wait": round(1000 * max(sender.longest for sender in senders)),
    }


def a_board(by: Person) -> Board:
    return board_of(TicketFactory.create(by=by), by)


def own_key(chance: random.Random) -> str:
    return str(uuid.UUID(int=chance.getrandbits(128), version=4))


def own_chance(chance: random.Random) -> random.Random:
    """A chance for one thread, so that the order of threads changes nothing."""
    return random.Random(chance.getrandbits(64))


def tablet(
    server: Server, board: Board, by: Person, rounds: int, chance: random.Random
) -> Work:
    ticket = Ticket.objects.get(ticket_boards__board=board)
    forms = [
        {
            "uuid": own_key(chance),
            "point_id": "k04/leads",
            "check": "k04",
            "typed": f"0.{chance.randint(10, 99)}",
        }
        for _n in range(rounds)
    ]
    path = reverse("diagnostics:reading_take", args=[ticket.number, board.pk])
    return Work(Sender(server, session_of(by), own_chance(chance)), path, forms, "uuid")


def counter(
    server: Server, ticket: Ticket, by: Person, rounds: int, chance: random.Random
) -> Work:
    forms = [
        {"amount": "0.01", "method": "cash", "reference": own_key(chance)}
        for _n in range(rounds)
    ]
    path = reverse("billing:payment_take", args=[ticket.number])
    return Work(
        Sender(server, session_of(by), own_chance(chance)), path, forms, "reference"
    )


def found_wrong(
    shop: Shop, boards: list[Board], tablets: list[Work], paying: Ticket, till: Work
) -> Iterator[str]:
    connection.close()  # what others wrote is read by a line of its own
    for work in [*tablets, till]:
        yield from work.refused
    for board, work in zip(boards, tablets, strict=True):
        kept = Reading.objects.filter(board=board).order_by("id")
        own = [str(one) for one in kept.values_list("uuid", flat=True)]
        yield from faults.not_exactly_once("reading", work.acknowledged, own)
        if Event.objects.filter(board_id=board.pk, kind="board_taken").count() != 1:
            yield "a board was taken in hand more than once, or never"
    paid = Payment.objects.filter(shop=shop).order_by("id")
    references = list(paid.values_list("reference", flat=True))
    yield from faults.not_exactly_once("payment", till.acknowledged, references)
    if events(paying, "payment_taken").count() != len(references):
        yield "a payment without its event"
    if KeptAnswer.objects.filter(status=None).exists():
        yield "a key without its answer"


def events(ticket: Ticket, kind: str) -> QuerySet[Event]:
    return Event.objects.filter(ticket_id=ticket.pk, kind=kind)
