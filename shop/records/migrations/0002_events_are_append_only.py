"""The database refuses to change or delete these rows."""

from django.db import migrations

from shop.records.append_only import protect


class Migration(migrations.Migration):
    dependencies = [("records", "0001_events_notes_numbers")]

    operations = [
        protect(
            "records_event",
        ),
    ]
