"""Why an invoice has no XML inside, and why no tax stands on it.

What was issued before stays the plain paper that it was. SQLite makes the tables
anew for a column, which would lose their triggers.
"""

from django.db import migrations, models

from shop.records.append_only import protect, unprotect


class Migration(migrations.Migration):
    dependencies = [("billing", "0004_quotes_are_drafted")]

    operations = [
        unprotect("billing_invoice", "billing_invoicetax"),
        migrations.AddField(
            model_name="invoice",
            name="plain_because",
            field=models.CharField(blank=True, default="before", max_length=20),
            preserve_default=False,
        ),
        migrations.AddField(
            model_name="invoicetax",
            name="reason",
            field=models.CharField(blank=True, default="", max_length=200),
            preserve_default=False,
        ),
        protect("billing_invoice", "billing_invoicetax"),
    ]
