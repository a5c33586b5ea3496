import django.db.models.deletion
from django.db import migrations, models

from shop.records.append_only import protect


class Migration(migrations.Migration):
    dependencies = [
        ("billing", "0013_draws_counts_claims_stand"),
    ]

    operations = [
        migrations.CreateModel(
            name="LineMove",
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
                (
                    "line",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="shelf_moves",
                        to="billing.invoiceline",
                    ),
                ),
                (
                    "move",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="of_line",
                        to="billing.stockmove",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="PaidTogether",
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
                (
                    "first",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="taken_together",
                        to="billing.payment",
                    ),
                ),
                (
                    "payment",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="together",
                        to="billing.payment",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        protect("billing_linemove", "billing_paidtogether"),
    ]
