"""Every word once, and its trigrams instead of those of the texts.

The words of texts that are there already are put in by the database itself. The
older index, where a database has it, goes first.
"""

import sys

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from shop.searching import trigrams, words

OLDER_INDEX = "DROP INDEX IF EXISTS searching_text_by_trigrams"


def make(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    line = editor.connection
    trigrams.drop(line)
    line.cursor().execute(OLDER_INDEX)
    words.make(line)
    trigrams.make(line, lambda said: sys.stderr.write(f"{said}\n"))


def drop(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    trigrams.drop(editor.connection)
    words.drop(editor.connection)


class Migration(migrations.Migration):
    dependencies = [("searching", "0003_signs_that_an_index_knows")]

    operations = [migrations.RunPython(make, drop)]
