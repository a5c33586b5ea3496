"""Rows that the database itself refuses to change or delete.

The last line of defence under events, readings and issued papers: triggers,
made by migrations, on SQLite and PostgreSQL alike.
"""

from collections.abc import Callable, Sequence

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

ACTS = ("UPDATE", "DELETE")

POSTGRES_FUNCTION = """
CREATE OR REPLACE FUNCTION records_refuse_change() RETURNS trigger AS $$
BEGIN
    RAISE EXCEPTION 'rows of % are never changed', TG_TABLE_NAME;
END;
$$ LANGUAGE plpgsql;
"""


def create_statements(vendor: str, table: str) -> list[str]:
    """The SQL that protects a table; the table's name comes from our models."""
    if vendor == "postgresql":
        return [POSTGRES_FUNCTION] + [
            f'CREATE TRIGGER "{table}_no_{act.lower()}" BEFORE {act} ON "{table}" '
            "FOR EACH ROW EXECUTE FUNCTION records_refuse_change();"
            for act in ACTS
        ]
    return [
        f'CREATE TRIGGER IF NOT EXISTS "{table}_no_{act.lower()}" '
        f'BEFORE {act} ON "{table}" '
        f"BEGIN SELECT RAISE(ABORT, 'rows of {table} are never changed'); END;"
        for act in ACTS
    ]


def drop_statements(vendor: str, table: str) -> list[str]:
    suffix = f' ON "{table}"' if vendor == "postgresql" else ""
    return [
        f'DROP TRIGGER IF EXISTS "{table}_no_{act.lower()}"{suffix};' for act in ACTS
    ]


def protect(*tables: str) -> migrations.RunPython:
    """A migration step that makes tables append-only, and its reverse."""
    return migrations.RunPython(*_steps(tables))


def unprotect(*tables: str) -> migrations.RunPython:
    """The reverse as a step: before a table is altered, and ``protect`` after."""
    forward, backward = _steps(tables)
    return migrations.RunPython(backward, forward)


Step = Callable[[Apps, BaseDatabaseSchemaEditor], None]


def _steps(tables: Sequence[str]) -> tuple[Step, Step]:
    def forward(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
        for table in tables:
            for statement in create_statements(editor.connection.vendor, table):
                editor.execute(statement, None)  # None: "%" is meant as it stands

    def backward(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
        for table in tables:
            for statement in drop_statements(editor.connection.vendor, table):
                editor.execute(statement, None)  # None: "%" is meant as it stands

    return forward, backward
