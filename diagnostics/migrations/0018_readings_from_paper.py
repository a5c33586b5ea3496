"""A reading says whether it was written on a bench sheet and typed in later.

SQLite makes the table anew for a column, which would lose its triggers.
"""

from django.db import migrations, models

from shop.records.append_only import protect, unprotect


class Migration(migrations.Migration):
    dependencies = [("diagnostics", "0017_donors_have_papers")]

    operations = [
        unprotect("diagnostics_reading"),
        migrations.AddField(
            model_name="reading",
            name="is_from_paper",
            field=models.BooleanField(default=False),
        ),
        protect("diagnostics_reading"),
    ]
