"""After the years that the law asks, a paper's names may be emptied; nothing else."""

from django.db import migrations

from shop.records.append_only import protect_but_let_empty

PAPERS = {
    "billing_invoice": {"buyer": "{}", "device": "{}", "story": "{}"},
    "billing_quote": {"cause": "", "risk": ""},
    "billing_quotedraft": {"cause": ""},
    "billing_payment": {"reference": ""},
}


class Migration(migrations.Migration):
    dependencies = [
        ("billing", "0005_invoices_are_electronic"),
    ]

    operations = [
        protect_but_let_empty(PAPERS),
    ]
