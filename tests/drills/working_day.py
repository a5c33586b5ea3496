"""A day at the counter beside five busy tablets, told in minutes.

Sixty intakes, two hundred searches and forty calls, evenly spread, while each tablet
sends a reading every other second and asks for its columns, as its page does. Nobody
may meet an error, and of all answers 95 % are to come within 300 ms.
"""

import random
import re
import threading
import time
import uuid
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from http import HTTPStatus
from urllib.parse import urlencode

from django.urls import reverse

from shop.intake.models import Ticket
from shop.people.models import Shop
from tests.drills.place import Result
from tests.drills.scene import person_in, session_of, shop_and_person
from tests.drills.server import Server, Session, serving
from tests.factories import CustomerFactory, TicketFactory
from tests.samples import board_of

INTAKES, SEARCHES, CALLS, TABLETS = 60, 200, 40, 5
BEFORE = 60  # tickets that were there in the morning
BETWEEN_READINGS = 2.0  # seconds
WARMING = 8.0  # seconds: what a worker loads at its first page is no part of the day
MOST_MS = 300
NAMES = (
    "Ada Pell",
    "Oona Brandt",
    "Tove Lind",
    "Nell Farrow",
    "Ivo Marsh",
    "Lida Quist",
)
TOLD = re.compile(r'name="told" value="([^"]+)"')


@dataclass
class Hand:
    """Somebody at a page: what they ask for, and how long each answer took."""

    server: Server
    who: Session
    took: list[tuple[str, float]] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)

    def get(self, what: str, path: str) -> str:
        return self.ask(what, path)

    def post(self, what: str, path: str, form: dict[str, str], **headers: str) -> str:
        key = {"Idempotency-Key": str(uuid.uuid4())}
        return self.ask(what, path, form, key | headers)

    def ask(
        self,
        what: str,
        path: str,
        form: dict[str, str] | None = None,
        headers: dict[str, str] | None = None,
    ) -> str:
        start = time.perf_counter()
        with self.server.asked(self.who, path, form, headers) as line:
            answer = line.getresponse()
            page = answer.read().decode()
        self.took.append((what, time.perf_counter() - start))
        if answer.status >= HTTPStatus.BAD_REQUEST:
            self.wrong.append(f"{what}: {answer.status}")
        return page


@dataclass
class Round(threading.Thread):
    """One thing done again and again, evenly over the day."""

    hand: Hand
    act: Callable[[Hand, random.Random], None]
    times: int
    seconds: float
    chance: random.Random

    def __post_init__(self) -> None:
        super().__init__()

    __hash__ = threading.Thread.__hash__

    def run(self) -> None:
        start, every = time.monotonic(), self.seconds / self.times
        for number in range(self.times):
            due = start + every * (number + self.chance.random() / 2)
            time.sleep(max(0.0, due - time.monotonic()))
            try:
                self.act(self.hand, self.chance)
            except OSError as broken:
                self.hand.wrong.append(f"{self.act.__name__}: {broken}")


def run(seed: int, rounds: int) -> Result:
    """``rounds``: seconds in which the day is told."""
    chance = random.Random(seed)
    shop, person = shop_and_person()
    for number in range(BEFORE):
        customer = CustomerFactory.create(shop=shop, name=name_of(chance, number))
        TicketFactory.create(by=person, customer=customer)
    with serving(workers=2) as server:
        work = list(everybody(server, shop, rounds, chance))
        warm = [Round(one.hand, one.act, 2, WARMING, chance) for one in work]
        together(warm)
        for one in work:
            one.hand.took.clear()
        together(work)
    return told([one.hand for one in work])


def together(rounds: list[Round]) -> None:
    for one in rounds:
        one.start()
    for one in rounds:
        one.join()


def everybody(
    server: Server, shop: Shop, seconds: int, chance: random.Random
) -> Iterator[Round]:
    for act, times in ((take_in, INTAKES), (search, SEARCHES), (phoned, CALLS)):
        hand = Hand(server, session_of(person_in(shop)))
        yield Round(hand, act, times, seconds, random.Random(chance.getrandbits(64)))
    for _n in range(TABLETS):
        by = person_in(shop)
        ticket = TicketFactory.create(by=by)
        bench = f"/bench/{ticket.number}/{board_of(ticket, by).pk}/"
        hand = Hand(server, session_of(by))
        times = int(seconds / BETWEEN_READINGS)
        own = random.Random(chance.getrandbits(64))
        yield Round(hand, reading_at(bench), times, seconds, own)


def name_of(chance: random.Random, number: int) -> str:
    return f"{chance.choice(NAMES)} {number}"


def take_in(hand: Hand, chance: random.Random) -> None:
    path = reverse("intake:ticket_new")
    hand.get("intake page", f"{path}?intake=quick")
    form = {
        "name": name_of(chance, chance.randrange(1000)),
        "phone": f"020 7946 0{chance.randrange(1000):03}",
        "model": "Orrin 14",
        "told": "Dead since the morning.",
        "fee_agreed": "yes",
        "then": "keep",
    }
    hand.post("intake", f"{path}?intake=quick", form)


def search(hand: Hand, chance: random.Random) -> None:
    name = chance.choice(NAMES)
    cut = chance.randrange(len(name))
    typed = name[:cut] + name[cut + 1 :]  # a slip of the finger
    hand.get("search", f"/find/?{urlencode({'q': typed})}")


def phoned(hand: Hand, chance: random.Random) -> None:
    number = chance.choice(list(Ticket.objects.values_list("number", flat=True)))
    page = hand.get("ticket page", f"/tickets/{number}/")
    mark = TOLD.search(page)
    if mark is None:
        hand.wrong.append("a ticket page without its sentence")
        return
    hand.post("call", reverse("desk:phoned", args=[number]), {"told": mark[1]})


def reading_at(bench: str) -> Callable[[Hand, random.Random], None]:
    def reading(hand: Hand, chance: random.Random) -> None:
        form = {
            "uuid": str(uuid.uuid4()),
            "point_id": "k04/leads",
            "check": "k04",
            "typed": f"0.{chance.randint(10, 99)}",
        }
        path = f"{bench}reading/"
        hand.post("reading", path, form, **{"HX-Request": "true"})
        hand.get("columns", f"{bench}live/?seen=0-0-0-0")

    return reading


def told(hands: list[Hand]) -> Result:
    took: dict[str, list[float]] = {}
    for hand in hands:
        for what, seconds in hand.took:
            took.setdefault(what, []).append(seconds)
    every = [seconds for all_of_it in took.values() for seconds in all_of_it]
    lost = [wrong for hand in hands for wrong in hand.wrong]
    if milliseconds(every, 0.95) > MOST_MS:
        lost.append(f"95 % took up to {milliseconds(every, 0.95)} ms")
    counts = {"answers": len(every), "ms at 95 %": milliseconds(every, 0.95)}
    for what, those in sorted(took.items()):
        usual = milliseconds(those, 0.5)
        named = f"ms {what} at 95 % ({len(those)}, half of them in {usual})"
        counts[named] = milliseconds(those, 0.95)
    return Result("working_day", counts, tuple(lost))


def milliseconds(seconds: list[float], share: float) -> int:
    return round(1000 * sorted(seconds)[int(share * len(seconds)) - 1])
