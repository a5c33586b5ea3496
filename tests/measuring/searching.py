"""The rows of the search: each kind of question, to its first hits with all they say.

The reference is bare SQL, which bears no slip: what was meant, by LIKE.
"""

import random
from collections.abc import Callable, Iterator, Mapping
from itertools import cycle

from django.db import connection
from django.test.utils import CaptureQueriesContext

from shop.intake.models import Customer
from shop.people.models import Shop
from shop.searching import queries
from shop.searching.views import MOST_LIVE
from tests.measuring.rows import Row, row
from tests.shop.searching.invented import slip

NAMES = 50
BARE = (
    "SELECT t.number FROM intake_ticket t "
    "JOIN intake_customer c ON c.id = t.customer_id "
    "JOIN intake_device d ON d.id = t.device_id "
    "WHERE t.shop_id = %s AND lower(c.name) LIKE %s AND lower(d.model) LIKE %s "
    "ORDER BY t.id DESC LIMIT %s"
)
DEVICE = "Orrin"
# What is typed of a name, and what bare SQL is asked for: of the name, of the device.
Asked = tuple[str, str, str]
KINDS: Mapping[str, Callable[[str, random.Random], Asked]] = {
    "search with a slip": lambda name, draw: (slip(name, draw), name, ""),
    "search, all right": lambda name, _draw: (name, name, ""),
    "search, a surname": lambda name, draw: (slip(_last(name), draw), _last(name), ""),
    "search, and device": lambda name, draw: (
        f"{slip(_last(name), draw)} {DEVICE}",
        _last(name),
        DEVICE,
    ),
    "search while typing": lambda name, _draw: (_last(name)[:3], _last(name)[:3], ""),
}


def _last(name: str) -> str:
    return name.rsplit(maxsplit=1)[-1]


def searched(shop: Shop, rounds: int) -> Iterator[Row]:
    draw = random.Random(1)
    names = list(Customer.objects.values_list("name", flat=True).order_by("id"))
    drawn = draw.sample(names, min(NAMES, len(names)))
    for kind, make in KINDS.items():
        yield _row(kind, shop, [make(name, draw) for name in drawn], rounds)


def _row(kind: str, shop: Shop, asked: list[Asked], rounds: int) -> Row:
    ours_next, bare_next = cycle(asked), cycle(asked)

    def ours() -> queries.Answer:
        return queries.find(shop, next(ours_next)[0], MOST_LIVE)

    def bare() -> object:
        _typed, name, device = next(bare_next)
        parts = [f"%{part.lower()}%" for part in (name, device)]
        with connection.cursor() as cursor:
            cursor.execute(BARE, [shop.pk, *parts, MOST_LIVE])
            found: list[tuple[str]] = cursor.fetchall()
            return found

    with CaptureQueriesContext(connection) as seen:
        ours()
    return row(kind, ours, bare, rounds, len(seen))
