"""Once a trigram index of the texts; 0004 makes one of their words instead."""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("searching", "0001_a_text_for_every_ticket")]

    operations = [
        migrations.RunPython(migrations.RunPython.noop, migrations.RunPython.noop)
    ]
