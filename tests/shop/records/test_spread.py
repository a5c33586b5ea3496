"""What SQLite is told of its rows by night, and who else has to know of it."""

import pytest
from django.db import connection

from shop.keeping.moving import Moving
from shop.people.models import Membership, Person, Shop
from shop.records import jobs, spread

pytestmark = pytest.mark.django_db
ON_SQLITE = pytest.mark.one_database
MEMBERSHIPS = "people_membership_shop_id_2044c8fe"


def rows_known() -> dict[str, str]:
    """By index, what SQLite keeps: rows, then rows alike (its file format, 2.6.3)."""
    with connection.cursor() as cursor:
        cursor.execute("SELECT idx, stat FROM sqlite_stat1 WHERE idx IS NOT NULL")
        return dict(cursor.fetchall())


@ON_SQLITE
def test_by_night_it_looks_at_tables_that_nobody_asked(ines: Person) -> None:
    jobs.REGISTERED["look at how rows are spread"].act()
    (stat,) = (n for index, n in rows_known().items() if index == MEMBERSHIPS)
    assert stat.split()[0] == str(Membership.objects.count())
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA analysis_limit")
        assert cursor.fetchone() == (spread.LOOKED_AT,)


@ON_SQLITE
def test_what_it_knows_is_no_table_of_the_shop(hollin_lane: Shop) -> None:
    """Moving to another database refuses tables that nobody knows."""
    spread.look()
    assert rows_known()
    assert not list(Moving("default", "default").tables_unknown())


def test_another_database_looks_by_itself(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[str] = []
    monkeypatch.setattr(spread, "look", lambda: asked.append("look"))
    spread.job()
    assert asked == (["look"] if connection.vendor == "sqlite" else [])
