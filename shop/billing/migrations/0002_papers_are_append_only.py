"""The database refuses to change or delete these rows."""

from django.db import migrations

from shop.records.append_only import protect


class Migration(migrations.Migration):
    dependencies = [("billing", "0001_time_parts_papers")]

    operations = [
        protect(
            "billing_timeentry",
            "billing_stockmove",
            "billing_partuse",
            "billing_quote",
            "billing_quoteline",
            "billing_invoice",
            "billing_invoiceline",
            "billing_invoicetax",
            "billing_payment",
        ),
    ]
