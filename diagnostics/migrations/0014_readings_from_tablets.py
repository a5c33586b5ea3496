"""A reading says whether it came late, and whether the house vouches for its taker.

SQLite makes the table anew for a column, which would lose its triggers.
"""

from django.db import migrations, models

from shop.records.append_only import protect, unprotect


class Migration(migrations.Migration):
    dependencies = [("diagnostics", "0013_conditions_and_passing_by")]

    operations = [
        unprotect("diagnostics_reading"),
        migrations.AddField(
            model_name="reading",
            name="is_late",
            field=models.BooleanField(default=False),
        ),
        migrations.AddField(
            model_name="reading",
            name="is_confirmed",
            field=models.BooleanField(default=True),
        ),
        protect("diagnostics_reading"),
    ]
