"""An account's price list is never changed: another one follows it."""

from django.db import migrations

from shop.records.append_only import protect


class Migration(migrations.Migration):
    dependencies = [
        ("intake", "0014_account_customers"),
    ]

    operations = [
        protect("intake_accountprices"),
    ]
