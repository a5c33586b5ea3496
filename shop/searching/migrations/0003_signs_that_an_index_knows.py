"""The signs between words became letters to a trigram index (``plain.WHO``).

Nothing is done here: once all migrations are through, every text is made anew
(``following.anew_after``).
"""

from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("searching", "0002_trigrams")]

    operations = [
        migrations.RunPython(migrations.RunPython.noop, migrations.RunPython.noop)
    ]
