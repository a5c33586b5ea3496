"""Partial credit notes, prepayment invoices, cash rounding, why money goes back.

The papers' triggers are taken off and put on again: a new column must be theirs too.
"""

import django.db.models.deletion
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models

from shop.records.append_only import (
    protect,
    protect_but_let_empty,
    protect_wholly,
    unprotect,
)

BEFORE = {
    "billing_invoice": {"buyer": "{}", "device": "{}", "story": "{}"},
    "billing_payment": {"reference": ""},
}
PAPERS = BEFORE | {"billing_payment": {"reference": "", "back_reason": ""}}
TABLES = ("billing_invoice", "billing_invoiceline", "billing_payment")


class Migration(migrations.Migration):
    dependencies = [
        ("billing", "0007_monthly_invoices"),
        ("intake", "0013_reassembly_is_agreed"),
        ("people", "0008_what_is_untaxed"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        protect_wholly(BEFORE),
        unprotect(*TABLES),
        migrations.CreateModel(
            name="PaymentRules",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True,
                        primary_key=True,
                        serialize=False,
                        verbose_name="ID",
                    ),
                ),
                ("valid_from", models.DateTimeField(default=django.utils.timezone.now)),
                (
                    "deposit_paper",
                    models.CharField(
                        choices=[
                            ("receipt", "a receipt; it is taken off the invoice later"),
                            ("invoice", "a prepayment invoice with its tax"),
                        ],
                        default="receipt",
                        max_length=10,
                    ),
                ),
                ("cash_step_minor", models.PositiveIntegerField(default=1)),
            ],
            options={
                "verbose_name_plural": "payment rules",
                "ordering": ["shop", "valid_from", "id"],
            },
        ),
        migrations.RemoveConstraint(
            model_name="invoice",
            name="a_credit_note_points_to_its_invoice",
        ),
        migrations.RemoveConstraint(
            model_name="payment",
            name="a_payment_moves_money",
        ),
        migrations.AddField(
            model_name="invoice",
            name="is_partial",
            field=models.BooleanField(default=False),
        ),
        migrations.AddField(
            model_name="invoiceline",
            name="corrects",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="corrected_by",
                to="billing.invoiceline",
            ),
        ),
        migrations.AddField(
            model_name="payment",
            name="back_reason",
            field=models.CharField(blank=True, max_length=200),
        ),
        migrations.AddField(
            model_name="payment",
            name="rounding_minor",
            field=models.BigIntegerField(default=0),
        ),
        migrations.AlterField(
            model_name="invoice",
            name="kind",
            field=models.CharField(
                choices=[
                    ("invoice", "invoice"),
                    ("credit_note", "credit note"),
                    ("prepayment", "prepayment invoice"),
                ],
                default="invoice",
                max_length=20,
            ),
        ),
        migrations.AlterField(
            model_name="payment",
            name="method",
            field=models.CharField(
                choices=[
                    ("cash", "cash"),
                    ("card", "card"),
                    ("transfer", "credit transfer"),
                    ("credit", "the customer’s credit"),
                ],
                max_length=20,
            ),
        ),
        migrations.AddConstraint(
            model_name="invoice",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("corrects", None), ("kind__in", ["invoice", "prepayment"])
                    ),
                    models.Q(("corrects__isnull", False), ("kind", "credit_note")),
                    _connector="OR",
                ),
                name="a_credit_note_points_to_its_invoice",
            ),
        ),
        migrations.AddConstraint(
            model_name="payment",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("amount_minor", 0), ("rounding_minor", 0), _negated=True
                ),
                name="a_payment_moves_money",
            ),
        ),
        migrations.AddField(
            model_name="paymentrules",
            name="by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="paymentrules",
            name="shop",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="payment_rules",
                to="people.shop",
            ),
        ),
        migrations.AddConstraint(
            model_name="paymentrules",
            constraint=models.CheckConstraint(
                condition=models.Q(("cash_step_minor__gte", 1)),
                name="a_coin_has_a_value",
            ),
        ),
        protect(*TABLES),
        protect_but_let_empty(PAPERS),
    ]
