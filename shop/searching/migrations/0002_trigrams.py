"""The trigram index; where it can't be made, the search goes on without it.

The texts of tickets that are there already are made once all migrations are through
(``following.anew_after``): they need the models as they are now.
"""

import sys

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

from shop.searching import trigrams


def make(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    trigrams.make(editor.connection, lambda line: sys.stderr.write(f"{line}\n"))


def drop(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    trigrams.drop(editor.connection)


class Migration(migrations.Migration):
    dependencies = [("searching", "0001_a_text_for_every_ticket")]

    operations = [migrations.RunPython(make, drop)]
