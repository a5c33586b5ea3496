"""Which database is told how its rows are spread, and who else has to know of it."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from shop.keeping.moving import Moving
from shop.people.models import Shop
from shop.records import spread

pytestmark = pytest.mark.django_db


def test_postgresql_looks_at_once_and_sqlite_is_left_alone(hollin_lane: Shop) -> None:
    with CaptureQueriesContext(connection) as asked:
        spread.look()
    told = [one["sql"] for one in asked]
    assert told == ([] if connection.vendor == "sqlite" else ["ANALYZE"])


@pytest.mark.one_database
def test_what_sqlite_knows_is_no_table_of_the_shop(hollin_lane: Shop) -> None:
    """Moving to another database refuses tables that nobody knows."""
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
        cursor.execute("SELECT count(*) FROM sqlite_stat1")
        assert cursor.fetchone()[0] > 0
    assert not list(Moving("default", "default").tables_unknown())
