import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("billing", "0014_line_moves_and_paid_sums"),
        ("books", "0002_rows_are_append_only"),
    ]

    operations = [
        migrations.CreateModel(
            name="DayDeposit",
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
                    "back",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="cash_day",
                        to="billing.loanreturn",
                    ),
                ),
                (
                    "day",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="deposits",
                        to="books.cashday",
                    ),
                ),
                (
                    "loan",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="cash_day",
                        to="billing.loan",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("back__isnull", False), ("loan", None)),
                            models.Q(("back", None), ("loan__isnull", False)),
                            _connector="OR",
                        ),
                        name="a_deposit_comes_or_goes",
                    )
                ],
            },
        ),
    ]
