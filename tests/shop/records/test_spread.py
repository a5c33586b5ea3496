"""Which database is told how its rows are spread, and who else has to know of it."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from shop.keeping.moving import Moving
from shop.people.models import Shop
from shop.records import jobs, spread

pytestmark = pytest.mark.django_db


def test_by_night_the_database_looks_that_never_does_by_itself(
    hollin_lane: Shop,
) -> None:
    with CaptureQueriesContext(connection) as asked:
        jobs.REGISTERED["look at how rows are spread"].act()
    told = [one["sql"] for one in asked]
    whole = ["PRAGMA analysis_limit = 0", "ANALYZE"]
    assert told == (whole if connection.vendor == "sqlite" else [])


@pytest.mark.one_database
def test_what_sqlite_knows_is_no_table_of_the_shop(hollin_lane: Shop) -> None:
    """Moving to another database refuses tables that nobody knows."""
    spread.look()
    with connection.cursor() as cursor:
        cursor.execute("SELECT count(*) FROM sqlite_stat1")
        assert cursor.fetchone()[0] > 0
    assert not list(Moving("default", "default").tables_unknown())
