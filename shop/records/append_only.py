"""Rows that the database itself refuses to change or delete.

The last line of defence under events, readings and issued papers: triggers,
made by migrations, on SQLite and PostgreSQL alike.
"""

from collections.abc import Callable, Mapping, Sequence

from django.apps.registry import Apps
from django.db import migrations, router
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.state import ProjectState, StateApps

ACTS = ("UPDATE", "DELETE")
NO_MODELS = StateApps([], {})

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


class OnTables(migrations.RunPython):
    """A step of plain SQL: it asks for no models, so none are drawn anew for it."""

    def database_forwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        if router.allow_migrate(schema_editor.connection.alias, app_label):
            self.code(NO_MODELS, schema_editor)


def protect(*tables: str) -> migrations.RunPython:
    """A migration step that makes tables append-only, and its reverse."""
    return OnTables(*_steps(tables))


def unprotect(*tables: str) -> migrations.RunPython:
    """The reverse as a step: before a table is altered, and ``protect`` after."""
    forward, backward = _steps(tables)
    return OnTables(backward, forward)


Emptied = Mapping[str, Mapping[str, str]]


def protect_but_let_empty(papers: Emptied) -> migrations.RunPython:
    """Instead of ``protect``: some columns may be emptied, and nothing else changed.

    ``papers`` is table -> column -> the text that stands for empty. A column that an
    UPDATE does not name is not asked about (SQLite, PostgreSQL: ``UPDATE OF``).
    """

    def forward(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
        for table, emptied in papers.items():
            _run(editor, drop_statements(editor.connection.vendor, table))
            _run(editor, _but_for(editor.connection, table, emptied))

    def backward(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
        vendor = editor.connection.vendor
        for table, emptied in papers.items():
            suffix = f' ON "{table}"' if vendor == "postgresql" else ""
            _run(
                editor,
                [f'DROP TRIGGER "{table}_{c}_no_update"{suffix};' for c in emptied],
            )
            _run(editor, drop_statements(vendor, table))
            _run(editor, create_statements(vendor, table))

    return OnTables(forward, backward)


def protect_wholly(papers: Emptied) -> migrations.RunPython:
    """The reverse as a step: before such tables are altered, and it again after."""
    step = protect_but_let_empty(papers)
    assert step.reverse_code is not None
    return OnTables(step.reverse_code, step.code)


def _run(editor: BaseDatabaseSchemaEditor, statements: Sequence[str]) -> None:
    for statement in statements:
        editor.execute(statement, None)  # None: "%" is meant as it stands


def _but_for(
    line: BaseDatabaseWrapper, table: str, emptied: Mapping[str, str]
) -> list[str]:
    """The triggers: never deleted, other columns never set, these only to empty."""
    with line.cursor() as cursor:
        told = line.introspection.get_table_description(cursor, table)
    others = ", ".join(f'"{c.name}"' for c in told if c.name not in emptied)
    cast = "::text" if line.vendor == "postgresql" else ""
    changes = [("no_update", f"UPDATE OF {others}", ""), ("no_delete", "DELETE", "")]
    changes += [
        (
            f"{column}_no_update",
            f'UPDATE OF "{column}"',
            f"NEW.\"{column}\"{cast} <> '{text}'",
        )
        for column, text in emptied.items()
    ]
    return [_trigger(line.vendor, table, *change) for change in changes]


def _trigger(vendor: str, table: str, name: str, act: str, when: str) -> str:
    head = f'CREATE TRIGGER "{table}_{name}" BEFORE {act} ON "{table}" '
    if vendor == "postgresql":
        asked = f"WHEN ({when}) " if when else ""
        return f"{head}FOR EACH ROW {asked}EXECUTE FUNCTION records_refuse_change();"
    asked = f"WHEN {when} " if when else ""
    return (
        f"{head}{asked}"
        f"BEGIN SELECT RAISE(ABORT, 'rows of {table} are never changed'); END;"
    )


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
