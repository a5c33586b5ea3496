"""What a ticket's events amount to, kept to be read at once."""

import django.db.models.deletion
import django.db.models.expressions
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("intake", "0016_express_is_agreed"),
        ("people", "0010_rates_by_kind_and_person"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="CountedUpTo",
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
                ("event", models.BigIntegerField(default=0)),
            ],
            options={
                "verbose_name_plural": "counted up to",
            },
        ),
        migrations.CreateModel(
            name="TicketDays",
            fields=[
                (
                    "ticket",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        primary_key=True,
                        related_name="+",
                        serialize=False,
                        to="intake.ticket",
                    ),
                ),
                ("newest_event", models.BigIntegerField()),
                ("opened", models.BigIntegerField()),
                ("closed", models.BigIntegerField(null=True)),
                ("queue", models.PositiveBigIntegerField(default=0)),
                ("hands", models.PositiveBigIntegerField(default=0)),
                ("parked", models.PositiveBigIntegerField(default=0)),
                ("customer", models.PositiveBigIntegerField(default=0)),
                ("supplier", models.PositiveBigIntegerField(default=0)),
                ("handover", models.PositiveBigIntegerField(default=0)),
                ("to_reading", models.PositiveBigIntegerField(null=True)),
                ("to_quote", models.PositiveBigIntegerField(null=True)),
                ("is_warranty", models.BooleanField(default=False)),
                ("told", models.CharField(blank=True, max_length=20)),
                ("found", models.CharField(blank=True, max_length=20)),
                ("family", models.CharField(blank=True, max_length=40)),
                (
                    "shop",
                    models.ForeignKey(
                        db_index=False,
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="+",
                        to="people.shop",
                    ),
                ),
                (
                    "technician",
                    models.ForeignKey(
                        db_index=False,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "days of tickets",
                "indexes": [
                    models.Index(
                        fields=["shop", "closed", "opened"], name="days_by_closing"
                    )
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("closed", None),
                            ("closed__lt", models.F("opened")),
                            (
                                "closed",
                                django.db.models.expressions.CombinedExpression(
                                    models.F("opened"),
                                    "+",
                                    django.db.models.expressions.CombinedExpression(
                                        django.db.models.expressions.CombinedExpression(
                                            django.db.models.expressions.CombinedExpression(
                                                django.db.models.expressions.CombinedExpression(
                                                    django.db.models.expressions.CombinedExpression(
                                                        models.F("queue"),
                                                        "+",
                                                        models.F("hands"),
                                                    ),
                                                    "+",
                                                    models.F("parked"),
                                                ),
                                                "+",
                                                models.F("customer"),
                                            ),
                                            "+",
                                            models.F("supplier"),
                                        ),
                                        "+",
                                        models.F("handover"),
                                    ),
                                ),
                            ),
                            _connector="OR",
                        ),
                        name="the_parts_are_the_whole",
                    )
                ],
            },
        ),
    ]
