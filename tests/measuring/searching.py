"""The row of the search: a name with a slip, to its first hits with all they say.

The reference is bare SQL, which bears no slip: the right name by LIKE.
"""

import random
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
    "WHERE t.shop_id = %s AND lower(c.name) LIKE %s ORDER BY t.id DESC LIMIT %s"
)


def searched(shop: Shop, rounds: int) -> Row:
    draw = random.Random(1)
    names = list(Customer.objects.values_list("name", flat=True).order_by("id"))
    asked = draw.sample(names, min(NAMES, len(names)))
    typed, right = cycle([slip(name, draw) for name in asked]), cycle(asked)

    def ours() -> queries.Answer:
        return queries.find(shop, next(typed), MOST_LIVE)

    def bare() -> object:
        with connection.cursor() as cursor:
            cursor.execute(BARE, [shop.pk, f"%{next(right).lower()}%", MOST_LIVE])
            found: list[tuple[str]] = cursor.fetchall()
            return found

    with CaptureQueriesContext(connection) as seen:
        ours()
    return row("search with a slip", ours, bare, rounds, len(seen))
