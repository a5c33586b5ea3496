"""What was ticked before a disk could be locked, and acts that touch the data.

SQLite makes the table anew for a column, which would lose its triggers.
"""

from django.db import migrations, models

from shop.records.append_only import protect, unprotect


class Migration(migrations.Migration):
    dependencies = [("diagnostics", "0004_good_readings_are_kept")]

    operations = [
        unprotect("diagnostics_intervention"),
        migrations.AddField(
            model_name="intervention",
            name="disk",
            field=models.CharField(
                blank=True,
                choices=[
                    ("key_seen", "recovery key seen"),
                    ("risk_known", "customer knows the risk"),
                    ("not_encrypted", "no encrypted disk"),
                ],
                default="",
                max_length=20,
            ),
            preserve_default=False,
        ),
        migrations.AlterField(
            model_name="intervention",
            name="kind",
            field=models.CharField(
                choices=[
                    ("removed", "removed"),
                    ("fitted", "fitted"),
                    ("replaced", "replaced"),
                    ("lifted", "lifted"),
                    ("reflowed", "reflowed"),
                    ("cleaned", "cleaned"),
                    ("swapped", "cable or adapter swapped"),
                    ("rewritten", "flash rewritten"),
                    ("erased", "drive erased"),
                    ("reinstalled", "system reinstalled"),
                ],
                max_length=20,
            ),
        ),
        protect("diagnostics_intervention"),
    ]
