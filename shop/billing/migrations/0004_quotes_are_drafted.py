"""The next version of a quote, written down and not sent."""

import django.db.models.deletion
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models

from shop.records.append_only import protect


class Migration(migrations.Migration):
    dependencies = [
        ("billing", "0003_days_are_confirmed"),
        ("intake", "0005_places"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="QuoteDraft",
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
                ("version", models.PositiveIntegerField()),
                ("cause", models.CharField(blank=True, max_length=300)),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "ticket",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="quote_drafts",
                        to="intake.ticket",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="QuoteDraftLine",
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
                ("position", models.PositiveSmallIntegerField()),
                ("code", models.CharField(max_length=40)),
                ("text", models.CharField(max_length=200)),
                ("quantity_thousandths", models.BigIntegerField()),
                ("unit", models.CharField(default="C62", max_length=3)),
                ("unit_price_ten_thousandths", models.BigIntegerField()),
                ("tax_category", models.CharField(default="S", max_length=2)),
                ("tax_basis_points", models.PositiveIntegerField()),
                ("net_minor", models.BigIntegerField()),
                ("currency", models.CharField(max_length=3)),
                (
                    "draft",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="lines",
                        to="billing.quotedraft",
                    ),
                ),
            ],
            options={
                "ordering": ["position"],
                "abstract": False,
                "constraints": [
                    models.UniqueConstraint(
                        fields=("draft", "position"), name="a_draft_line_has_its_place"
                    )
                ],
            },
        ),
        protect("billing_quotedraft", "billing_quotedraftline"),
    ]
