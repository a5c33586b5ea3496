"""The database refuses to change or delete these rows."""

from django.db import migrations

from shop.records.append_only import protect


class Migration(migrations.Migration):
    dependencies = [("books", "0004_deposits_counted_before")]

    operations = [
        protect("books_daydeposit"),
    ]
