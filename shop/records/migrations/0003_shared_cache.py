"""The table of Django's default cache, which all processes share."""

from django.apps.registry import Apps
from django.core.management import call_command
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

TABLE = "records_shared_cache"


def make(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    call_command("createcachetable", TABLE, database=schema_editor.connection.alias)


def drop(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    schema_editor.execute(f"DROP TABLE {schema_editor.quote_name(TABLE)}")


class Migration(migrations.Migration):
    dependencies = [("records", "0002_events_are_append_only")]

    operations = [migrations.RunPython(make, drop)]
