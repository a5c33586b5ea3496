"""The database refuses to change or delete these rows."""

from django.db import migrations

from shop.records.append_only import protect


class Migration(migrations.Migration):
    dependencies = [("diagnostics", "0001_boards_readings_findings")]

    operations = [
        protect(
            "diagnostics_reading",
            "diagnostics_intervention",
            "diagnostics_gateoverride",
            "diagnostics_finding",
            "diagnostics_advice",
            "diagnostics_proofitem",
            "diagnostics_boardmodelrevision",
        ),
    ]
