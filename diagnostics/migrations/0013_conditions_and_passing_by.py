"""How a board stands on the bench, and which checks were passed by: both append-only."""

import uuid

import django.db.models.deletion
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models

from shop.records.append_only import protect


class Migration(migrations.Migration):
    dependencies = [
        ("diagnostics", "0012_pictures_and_marks"),
        ("intake", "0005_places"),
        ("records", "0004_jobs_and_doubts"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="ConditionSet",
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
                ("uuid", models.UUIDField(default=uuid.uuid4, unique=True)),
                ("epoch", models.PositiveIntegerField()),
                ("check_id", models.CharField(max_length=20)),
                (
                    "condition",
                    models.CharField(
                        choices=[
                            ("U", "no power"),
                            ("A", "supplied, off"),
                            ("B", "just switched on"),
                            ("R", "running"),
                            ("S", "asleep"),
                            ("J", "injection supply alone"),
                        ],
                        max_length=2,
                    ),
                ),
                ("fitted", models.JSONField(default=list)),
                ("supply_volts", models.FloatField(null=True)),
                ("supply_limit_amps", models.FloatField(null=True)),
                ("at", models.DateTimeField()),
                (
                    "received_at",
                    models.DateTimeField(default=django.utils.timezone.now),
                ),
                (
                    "board",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="conditions",
                        to="diagnostics.board",
                    ),
                ),
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
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="intake.ticket",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
                "indexes": [
                    models.Index(fields=["board", "id"], name="condition_of_board")
                ],
            },
        ),
        migrations.CreateModel(
            name="PassedBy",
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
                ("uuid", models.UUIDField(default=uuid.uuid4, unique=True)),
                ("epoch", models.PositiveIntegerField()),
                ("check_id", models.CharField(max_length=20)),
                (
                    "why",
                    models.CharField(
                        choices=[
                            ("cant_get_at", "can’t get at it"),
                            ("later", "later"),
                            ("not_needed", "not needed"),
                            ("in_words", "another reason"),
                            ("after_all", "after all"),
                        ],
                        max_length=20,
                    ),
                ),
                ("at", models.DateTimeField()),
                (
                    "received_at",
                    models.DateTimeField(default=django.utils.timezone.now),
                ),
                (
                    "board",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="passed_by",
                        to="diagnostics.board",
                    ),
                ),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "note",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="records.note",
                    ),
                ),
                (
                    "ticket",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="intake.ticket",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
                "indexes": [
                    models.Index(fields=["board", "id"], name="passed_by_of_board")
                ],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("why", "in_words"), _negated=True),
                            ("note__isnull", False),
                            _connector="OR",
                        ),
                        name="another_reason_has_its_words",
                    )
                ],
            },
        ),
        protect("diagnostics_conditionset", "diagnostics_passedby"),
    ]
