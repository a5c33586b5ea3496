"""An empty database gets its tables at once, the same as one migration at a time."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.db import IntegrityError
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.loader import MigrationLoader

from shop.keeping import first_tables
from shop.keeping.management.commands import first_tables as command
from tests import made_database

pytestmark = pytest.mark.one_database
# How many migrations may come after the file before it is written anew: by
# ``manage.py first_tables``. Each costs about half a second of a first start.
MOST_AFTER = 12


@pytest.fixture
def empty(tmp_path: Path, django_db_blocker: Any) -> Iterator[BaseDatabaseWrapper]:
    with django_db_blocker.unblock(), command.opened(tmp_path / "new.sqlite3") as line:
        yield line


@pytest.fixture
def written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of the file that may be changed."""
    copy = tmp_path / "first_tables.sql"
    copy.write_text(first_tables.FILE.read_text())
    monkeypatch.setattr(first_tables, "FILE", copy)
    return copy


def tables(line: BaseDatabaseWrapper) -> list[str]:
    return line.introspection.table_names()


def schema(file: Path) -> list[tuple[str, str, str, str | None]]:
    with closing(sqlite3.connect(file)) as database:
        told = "SELECT type, name, tbl_name, sql FROM sqlite_master"
        return sorted(database.execute(told).fetchall(), key=str)


def applied(file: Path) -> list[tuple[str, str]]:
    with closing(sqlite3.connect(file)) as database:
        return sorted(database.execute("SELECT app, name FROM django_migrations"))


def test_they_are_to_the_letter_what_the_migrations_make(
    tmp_path: Path, made_folder: Path
) -> None:
    long_way = tmp_path / "long.sqlite3"
    command.migrate_one_by_one(long_way)
    at_once = made_database.sqlite_file(made_folder)
    assert schema(at_once) == schema(long_way)
    assert applied(at_once) == applied(long_way)
    assert len(schema(long_way)) > 600


def test_the_file_names_migrations_that_are_there_and_all_they_rest_on() -> None:
    names = first_tables.named_in(first_tables.FILE.read_text())
    graph = MigrationLoader(None).graph
    for place, name in enumerate(names):
        assert set(graph.forwards_plan(name)) <= set(names[: place + 1])
    assert len(graph.nodes) - len(names) <= MOST_AFTER


def test_an_empty_database_has_its_tables_and_their_guards_at_once(
    empty: BaseDatabaseWrapper,
) -> None:
    assert first_tables.lay(empty)
    assert {"records_event", "django_migrations"} <= set(tables(empty))
    assert first_tables.told_by(empty) == first_tables.FILE.read_text()
    with empty.cursor() as cursor:
        cursor.execute("PRAGMA foreign_keys=OFF")
        cursor.execute(
            "INSERT INTO records_event"
            " (kind, at, recorded_at, codes, ids, amounts, shop_id)"
            " VALUES ('board_taken', '', '', '{}', '{}', '{}', 1)"
        )
        with pytest.raises(IntegrityError, match="never changed"):
            cursor.execute("UPDATE records_event SET kind = 'other'")


def test_migrate_finds_nothing_left_to_do_but_what_came_later(
    empty: BaseDatabaseWrapper,
) -> None:
    call_command(
        "migrate", database=command.ALIAS, verbosity=0, plan=True, without_backup=True
    )
    assert tables(empty) == []
    call_command("migrate", database=command.ALIAS, verbosity=0, without_backup=True)
    graph = MigrationLoader(None).graph
    with empty.cursor() as cursor:
        cursor.execute("SELECT app, name FROM django_migrations")
        assert set(cursor.fetchall()) == set(graph.nodes)
        cursor.execute("SELECT count(*) FROM auth_permission")
        assert cursor.fetchone()[0] > 500


def test_a_database_that_holds_anything_goes_the_long_way(
    empty: BaseDatabaseWrapper,
) -> None:
    with empty.cursor() as cursor:
        cursor.execute("CREATE TABLE somebodys (id integer)")
    assert not first_tables.lay(empty)
    assert tables(empty) == ["somebodys"]


def test_a_file_of_another_version_is_left_alone(
    empty: BaseDatabaseWrapper, written: Path
) -> None:
    written.write_text(f"-- records.9999_to_come\n{written.read_text()}")
    assert not first_tables.lay(empty)
    assert tables(empty) == []


def test_what_fails_half_way_leaves_nothing_behind(
    empty: BaseDatabaseWrapper, written: Path
) -> None:
    written.write_text(f"{written.read_text()}CREATE TABLE people_shop (id integer);\n")
    assert not first_tables.lay(empty)
    assert tables(empty) == []


def test_triggers_are_one_statement_each() -> None:
    trigger = 'CREATE TRIGGER "a" BEFORE DELETE ON "b" BEGIN SELECT 1; END;'
    text = f"-- a.0001\n\nCREATE TABLE b (\n  id integer\n);\n{trigger}\n"
    assert list(first_tables.statements_in(text)) == [
        "CREATE TABLE b (\n  id integer\n);",
        trigger,
    ]
    assert first_tables.named_in(text) == [("a", "0001")]
