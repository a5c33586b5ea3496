"""The measuring itself, tiny: what it counts, never how long it takes."""

import pytest

from diagnostics.models import Reading
from shop.intake import queries as intake
from tests.measuring.bulk import OPEN_TICKETS
from tests.measuring.run import HEAD, Size, measured, table


@pytest.mark.django_db
def test_a_small_shop_is_built_and_every_row_measured() -> None:
    rows = measured(Size(tickets=80, readings=800, rounds=3))
    assert [row.name for row in rows] == [
        "ticket page",
        "day list",
        "bench page",
        "invoice PDF",
        "parse and verdict",
    ]
    assert Reading.objects.count() == 800
    assert all(row.ours > 0 and row.reference > 0 for row in rows)
    assert rows[1].queries > 3
    shown = table(rows)
    assert shown.startswith(HEAD)
    assert len(shown.splitlines()) == 6


@pytest.mark.django_db
def test_most_tickets_of_the_big_shop_are_closed() -> None:
    measured(Size(tickets=80, readings=0, rounds=1))
    from shop.people.models import Shop

    assert len(intake.tickets_open(Shop.objects.get())) == OPEN_TICKETS
