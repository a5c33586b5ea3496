"""Machines lent to customers. What was lent and came back is never changed."""

import django.db.models.deletion
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models

from shop.records.append_only import protect


class Migration(migrations.Migration):
    dependencies = [
        ("billing", "0009_quotes_have_options"),
        ("intake", "0016_express_is_agreed"),
        ("people", "0010_rates_by_kind_and_person"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="Loan",
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
                ("given_at", models.DateTimeField(default=django.utils.timezone.now)),
                ("due_on", models.DateField(blank=True, null=True)),
                ("given_with", models.CharField(blank=True, max_length=200)),
                ("currency", models.CharField(max_length=3)),
                ("deposit_minor", models.BigIntegerField(default=0)),
                ("deposit_method", models.CharField(blank=True, max_length=20)),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="LoanDevice",
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
                ("name", models.CharField(max_length=120)),
                ("serial", models.CharField(blank=True, max_length=80)),
                ("kept_since", models.DateTimeField(default=django.utils.timezone.now)),
                ("ended_at", models.DateTimeField(blank=True, null=True)),
            ],
            options={
                "ordering": ["shop", "name", "id"],
            },
        ),
        migrations.CreateModel(
            name="LoanReturn",
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
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
                ("state", models.CharField(blank=True, max_length=200)),
                ("currency", models.CharField(max_length=3)),
                ("deposit_back_minor", models.BigIntegerField(default=0)),
            ],
        ),
        migrations.AddField(
            model_name="loan",
            name="given_by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="loan",
            name="ticket",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="loans",
                to="intake.ticket",
            ),
        ),
        migrations.AddField(
            model_name="loandevice",
            name="shop",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="loan_devices",
                to="people.shop",
            ),
        ),
        migrations.AddField(
            model_name="loan",
            name="device",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="loans",
                to="billing.loandevice",
            ),
        ),
        migrations.AddField(
            model_name="loanreturn",
            name="by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="loanreturn",
            name="loan",
            field=models.OneToOneField(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="back",
                to="billing.loan",
            ),
        ),
        migrations.AddConstraint(
            model_name="loandevice",
            constraint=models.UniqueConstraint(
                condition=models.Q(("ended_at", None)),
                fields=("shop", "name"),
                name="a_loan_device_is_named_once",
            ),
        ),
        migrations.AddConstraint(
            model_name="loan",
            constraint=models.CheckConstraint(
                condition=models.Q(("deposit_minor__gte", 0)),
                name="a_loan_deposit_is_not_negative",
            ),
        ),
        migrations.AddConstraint(
            model_name="loanreturn",
            constraint=models.CheckConstraint(
                condition=models.Q(("deposit_back_minor__gte", 0)),
                name="what_is_given_back_is_not_negative",
            ),
        ),
        protect("billing_loan", "billing_loanreturn"),
    ]
