"""The database refuses to change or delete these rows."""

from django.db import migrations

from shop.records.append_only import protect


class Migration(migrations.Migration):
    dependencies = [("books", "0001_till_reminders_accounts")]

    operations = [
        protect(
            "books_cashmove",
            "books_cashday",
            "books_daypayment",
            "books_daymove",
            "books_reminderrule",
            "books_paymentreminder",
            "books_accountname",
        ),
    ]
