"""A version of a quote may have options; of all of them one is answered.

SQLite makes the tables anew for a column, which would lose their triggers.
"""

from django.db import migrations, models

from shop.records.append_only import protect, protect_but_let_empty, unprotect

BEFORE = protect_but_let_empty(
    {
        "billing_quote": {"cause": "", "risk": ""},
        "billing_quotedraft": {"cause": ""},
    }
)
NOW = {
    "billing_quote": {"cause": "", "risk": ""},
    "billing_quotedraft": {"cause": ""},
}


class Migration(migrations.Migration):
    dependencies = [("billing", "0008_payments_say_more")]

    operations = [
        migrations.RunPython(BEFORE.reverse_code or BEFORE.noop, BEFORE.code),
        unprotect("billing_quote", "billing_quotedraft"),
        migrations.AlterModelOptions(
            name="quote",
            options={"ordering": ["ticket", "version", "option"]},
        ),
        migrations.RemoveConstraint(
            model_name="quote",
            name="a_quote_version_is_sent_once",
        ),
        migrations.AddField(
            model_name="quote",
            name="option",
            field=models.CharField(blank=True, max_length=1),
        ),
        migrations.AddField(
            model_name="quote",
            name="option_title",
            field=models.CharField(blank=True, max_length=80),
        ),
        migrations.AddField(
            model_name="quoteanswer",
            name="of_version",
            field=models.CharField(blank=True, max_length=40, null=True, unique=True),
        ),
        migrations.AddField(
            model_name="quotedraft",
            name="risks",
            field=models.CharField(blank=True, max_length=80),
        ),
        migrations.AlterField(
            model_name="quote",
            name="risk",
            field=models.CharField(blank=True, max_length=800),
        ),
        migrations.AddConstraint(
            model_name="quote",
            constraint=models.UniqueConstraint(
                fields=("ticket", "version", "option"),
                name="a_quote_version_is_sent_once",
            ),
        ),
        protect("billing_quote", "billing_quotedraft"),
        protect_but_let_empty(NOW),
    ]
