"""The database refuses to change or delete these rows."""

from django.db import migrations

from shop.records.append_only import protect


class Migration(migrations.Migration):
    dependencies = [("billing", "0012_lots_from_moves")]

    operations = [
        protect(
            "billing_lotdraw",
            "billing_stockcount",
            "billing_claim",
            "billing_claimend",
        ),
    ]
