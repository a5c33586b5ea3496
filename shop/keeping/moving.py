"""Bringing a shop from one database to another, proved equal, in one transaction.

The source is held against writers meanwhile. Whatever fails, the target is as it
was: its own transaction is rolled back. Foreign keys are checked at its end, which
is where PostgreSQL checks ours anyway, so that the order of tables does not matter;
the triggers of append-only tables refuse changes and deletions, not new rows, and
stay where they are.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from django.apps import apps
from django.conf import settings
from django.db import connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.recorder import MigrationRecorder
from django.utils.translation import gettext as _

from shop.keeping.portable import finder
from shop.keeping.proofs import Model, Proof, fields_of, proof_of, rows_of
from shop.records import spread
from shop.records.errors import Refused

MOST_TOLD = 20
MADE_BY_MIGRATE = {"django_content_type", "auth_permission"}
# The search's words: the target's own triggers make them as the texts come in.
MADE_BY_TRIGGERS = {"searching_trigrams_words"}
Say = Callable[[str], object]
TRIGGERS = {
    "sqlite": "SELECT name FROM sqlite_master WHERE type = 'trigger' "
    "AND (name LIKE '%_no_update' OR name LIKE '%_no_delete')",
    "postgresql": "SELECT tgname FROM pg_trigger WHERE NOT tgisinternal",
}

FULL_TEXT = "SELECT name FROM sqlite_master WHERE sql LIKE 'CREATE VIRTUAL TABLE%'"


class Unequal(Exception):
    """The two sides don't hold the same; nothing was kept."""


@dataclass(frozen=True)
class Moving:
    """From one alias of Django's connections to another."""

    source: str
    target: str

    def move(self, say: Say = lambda _line: None) -> list[Proof]:
        """Copy everything and prove it; the proofs, table by table.

        Refused, before anything is written, where the target is not ready or a row
        can't be kept there. Raises ``Unequal`` where the copy is not the same.
        """
        with transaction.atomic(using=self.source):
            self.refuse_unready()
            say("Looking at every row ...")
            self.refuse_unportable()
            before = [proof_of(model, self.source) for model in models_moved()]
            with transaction.atomic(using=self.target):
                self.empty()
                for model in models_moved():
                    say(f"Copying {model._meta.db_table}")
                    self.copy(model)
                self.check_keys()
                self.set_sequences()
                say("Comparing ...")
                self.prove(before)
        spread.look(self.target)  # by itself it would, but not before the first page
        return before

    # --- before anything is written -------------------------------------------

    def refuse_unready(self) -> None:
        ours, theirs = (
            set(MigrationRecorder(connections[alias]).applied_migrations())
            for alias in (self.source, self.target)
        )
        if ours != theirs:
            raise Refused(
                _("The databases are not at the same migration: run migrate on both.")
            )
        for model in models_moved():
            table = model._meta.db_table
            is_full = model._base_manager.using(self.target).exists()
            if is_full and table not in MADE_BY_MIGRATE:
                raise Refused(_("The new database is not empty: %s") % table)
        if unknown := sorted(self.tables_unknown()):
            raise Refused(
                _("Nobody knows how to move these tables: %s") % ", ".join(unknown)
            )
        if missing := self.triggers(self.source) - self.triggers(self.target):
            raise Refused(
                _("The new database does not protect what it must: %s")
                % ", ".join(sorted(missing))
            )

    def tables_unknown(self) -> Iterator[str]:
        """Tables of the source that no model has, with rows in them."""
        line = connections[self.source]
        known = {model._meta.db_table for model in models_moved()}
        known |= {"django_migrations", str(settings.SHARED["LOCATION"])}
        known |= MADE_BY_TRIGGERS
        with line.cursor() as cursor:
            tables = set(line.introspection.table_names(cursor)) - known
            own = {table for table in tables if table.startswith("sqlite_")}
            for table in tables - own - set(indexes_among(line, tables)):
                name = line.ops.quote_name(table)
                cursor.execute(f"SELECT 1 FROM {name} LIMIT 1")  # noqa: S608  a table's own name
                if cursor.fetchone():
                    yield table

    def triggers(self, alias: str) -> set[str]:
        with connections[alias].cursor() as cursor:
            cursor.execute(TRIGGERS[connections[alias].vendor])
            return {str(name) for (name,) in cursor.fetchall()}

    def refuse_unportable(self) -> None:
        found: list[str] = []
        for line in self.unportable():
            found.append(line)
            if len(found) == MOST_TOLD:
                break
        if found:
            raise Refused(
                _("Nothing was written. PostgreSQL would refuse:\n%s")
                % "\n".join(found)
            )

    def unportable(self) -> Iterator[str]:
        """Which value of which row can't be kept; never the value itself."""
        for model in models_moved():
            fields = fields_of(model)
            finders = [finder(field, connections[self.target]) for field in fields]
            names = [field.attname for field in fields]
            key = names.index(model._meta.pk.attname)
            for row in rows_of(model, self.source):
                for name, find, value in zip(names, finders, row, strict=True):
                    if wrong := find(value):
                        yield f"{model._meta.db_table} {row[key]}: {name} {wrong}"

    # --- the copy --------------------------------------------------------------

    def empty(self) -> None:
        """What migrations made there: the source has its own."""
        line = connections[self.target]
        tables = [line.ops.quote_name(m._meta.db_table) for m in models_moved()]
        with line.cursor() as cursor:
            cursor.execute(f"TRUNCATE {', '.join(tables)}")

    def copy(self, model: Model) -> None:
        line = connections[self.target]
        quote = line.ops.quote_name
        fields = fields_of(model)
        columns = ", ".join(quote(str(field.column)) for field in fields)
        table = quote(model._meta.db_table)
        with line.cursor() as cursor:
            into = cursor.copy(f"COPY {table} ({columns}) FROM STDIN")
            with into as rows:
                for row in rows_of(model, self.source):
                    pairs = zip(fields, row, strict=True)
                    rows.write_row([f.get_db_prep_save(v, line) for f, v in pairs])

    def check_keys(self) -> None:
        with connections[self.target].cursor() as cursor:
            cursor.execute("SET CONSTRAINTS ALL IMMEDIATE")
            cursor.execute("SET CONSTRAINTS ALL DEFERRED")

    def set_sequences(self) -> None:
        """Each goes on where the source's was, beyond rows that are gone too."""
        used = self.keys_used()
        with connections[self.target].cursor() as cursor:
            for model in models_moved():
                table, key = model._meta.db_table, model._meta.pk.column
                cursor.execute(
                    "SELECT pg_get_serial_sequence(%s, %s)", [f'"{table}"', key]
                )
                (sequence,) = cursor.fetchone()
                if sequence is None:
                    continue
                newest = model._base_manager.using(self.target).order_by("-pk").first()
                last = max(used.get(table, 0), newest.pk if newest else 0)
                cursor.execute(
                    "SELECT setval(%s, %s, %s)", [sequence, max(last, 1), last > 0]
                )

    def keys_used(self) -> dict[str, int]:
        """The highest key that each table ever had, where SQLite remembers."""
        line = connections[self.source]
        if line.vendor != "sqlite":
            return {}
        with line.cursor() as cursor:
            cursor.execute("SELECT name, seq FROM sqlite_sequence")
            return {str(name): int(last) for name, last in cursor.fetchall()}

    def prove(self, before: list[Proof]) -> None:
        after = [proof_of(model, self.target) for model in models_moved()]
        faults = [
            f"{ours.table}: {', '.join(differs)}"
            for ours, theirs in zip(before, after, strict=True)
            if (differs := ours.differs_in(theirs))
        ]
        if faults:
            raise Unequal("\n".join(faults))


def models_moved() -> list[Model]:
    """One model a table, those that Django makes for itself too."""
    tables: dict[str, Model] = {}
    for model in apps.get_models(include_auto_created=True):
        if model._meta.managed and not model._meta.proxy:
            tables.setdefault(model._meta.db_table, model)
    return [tables[name] for name in sorted(tables)]


def indexes_among(line: BaseDatabaseWrapper, tables: set[str]) -> Iterator[str]:
    """SQLite's full-text tables and what lies in their shadow: indexes of other rows.

    The target has its own, which it keeps while the rows come in.
    """
    if line.vendor != "sqlite":
        return
    with line.cursor() as cursor:
        cursor.execute(FULL_TEXT)
        names = tuple(name for (name,) in cursor.fetchall())
    yield from (
        t for t in tables if t in names or t.startswith(tuple(f"{n}_" for n in names))
    )
