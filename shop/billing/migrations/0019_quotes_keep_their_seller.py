"""A quote keeps the shop as its paper names it; what was sent before has none.

SQLite makes the table anew for a column, which would lose its triggers.
"""

from django.db import migrations, models

from shop.records.append_only import (
    protect,
    protect_but_let_empty,
    protect_wholly,
    unprotect,
)

PAPERS = {"billing_quote": {"cause": "", "risk": ""}}


class Migration(migrations.Migration):
    dependencies = [("billing", "0018_sums_of_till_and_shelf")]

    operations = [
        protect_wholly(PAPERS),
        unprotect("billing_quote"),
        migrations.AddField(
            model_name="quote",
            name="seller",
            field=models.JSONField(blank=True, default=dict),
        ),
        protect("billing_quote"),
        protect_but_let_empty(PAPERS),
    ]
