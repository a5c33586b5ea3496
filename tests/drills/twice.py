"""The same thing sent twice, at once and late: one effect, one answer.

Against the view layer in threads: ten at once with one key, ten late replays,
one with another body, one by another person.
"""

import random
import uuid
from concurrent.futures import ThreadPoolExecutor

from django.db import connection
from django.test import Client
from django.urls import reverse

from shop.billing.models import Payment
from shop.people.models import Person, Role
from tests.drills.place import Result
from tests.factories import PersonFactory, ShopFactory, TicketFactory

AT_ONCE = 10
Answer = tuple[int, str]


def run(seed: int, rounds: int) -> Result:
    chance = random.Random(seed)
    shop = ShopFactory.create(name=f"drill {uuid.uuid4()}")
    person = PersonFactory.create(shop=shop, roles=list(Role))
    other = PersonFactory.create(shop=shop, roles=list(Role))
    lost: list[str] = []
    for _turn in range(rounds):
        ticket = TicketFactory.create(by=person)
        url = reverse("billing:payment_take", args=[ticket.number])
        amount = f"{chance.randint(1, 40)}.00"
        form = {
            "amount": amount,
            "method": "cash",
            "idempotency_key": str(uuid.uuid4()),
        }
        answers = _at_once(person, url, form)
        answers += [_post(person, url, form) for _late in range(AT_ONCE)]
        if len(set(answers)) != 1 or answers[0][0] != 302:
            lost.append(f"answers differ: {sorted(set(answers))[:3]}")
        if Payment.objects.filter(ticket=ticket).count() != 1:
            lost.append("not exactly one payment")
        changed = form | {"amount": "99.00"}
        if _post(person, url, changed)[0] != 422 or _post(other, url, form)[0] != 422:
            lost.append("another body or person was not refused")
    counts = {"keys": rounds, "requests": rounds * (2 * AT_ONCE + 2)}
    return Result("twice", counts, tuple(lost[:5]))


def _at_once(person: Person, url: str, form: dict[str, str]) -> list[Answer]:
    def one(_n: int) -> Answer:
        try:
            return _post(person, url, form)
        finally:
            connection.close()

    with ThreadPoolExecutor(AT_ONCE) as pool:
        return list(pool.map(one, range(AT_ONCE)))


def _post(person: Person, url: str, form: dict[str, str]) -> Answer:
    client = Client(SERVER_NAME="127.0.0.1")
    client.force_login(person)
    answer = client.post(url, form)
    return answer.status_code, answer.headers.get("Location", "")
