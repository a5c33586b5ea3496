"""What technicians say of suspects, what is seen of a board, and both in advice.

SQLite makes the table of advice anew for its column, which would lose its triggers.
"""

import uuid

import django.db.models.deletion
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models

from shop.records.append_only import protect, unprotect


class Migration(migrations.Migration):
    dependencies = [
        ("diagnostics", "0008_leads_of_the_day"),
        ("intake", "0001_customers_devices_tickets"),
        ("records", "0002_events_are_append_only"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        unprotect("diagnostics_advice"),
        migrations.AddField(
            model_name="advice",
            name="words",
            field=models.JSONField(default=list),
        ),
        migrations.AlterField(
            model_name="advice",
            name="moment",
            field=models.CharField(
                choices=[
                    ("suspect_named", "suspect named"),
                    ("offer_overruled", "offered check overruled"),
                    ("offer_followed", "offered check taken"),
                    ("quote_drafted", "quote drafted"),
                    ("finding_confirmed", "finding confirmed"),
                    ("ticket_closed", "ticket closed"),
                ],
                max_length=20,
            ),
        ),
        migrations.CreateModel(
            name="Sighting",
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
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("burnt", "burnt"),
                            ("corroded", "corroded"),
                            ("cracked", "cracked"),
                            ("missing", "missing"),
                            ("hot", "hot"),
                            ("flux", "flux or solder marks"),
                        ],
                        max_length=10,
                    ),
                ),
                ("part_id", models.CharField(blank=True, max_length=40)),
                ("rail_id", models.CharField(blank=True, max_length=40)),
                ("place", models.CharField(blank=True, max_length=80)),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
                (
                    "board",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="sightings",
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
                        related_name="sightings",
                        to="intake.ticket",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            ("part_id", ""), ("rail_id", ""), _connector="XOR"
                        ),
                        name="a_sighting_is_at_a_part_or_a_rail",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="SuspectWord",
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
                ("epoch", models.PositiveIntegerField()),
                ("part_id", models.CharField(max_length=40)),
                ("mode_id", models.CharField(max_length=40)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("added", "added"),
                            ("struck", "struck"),
                            ("taken_back", "taken back"),
                        ],
                        max_length=10,
                    ),
                ),
                (
                    "chip",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("measured_good", "measured good"),
                            ("seen_intact", "seen intact under the microscope"),
                            ("renewed", "just renewed"),
                            ("not_on_board", "not on this board"),
                            ("known_weakness", "known weakness of this model"),
                            ("looks_wrong", "looks wrong"),
                            ("other", "another reason"),
                        ],
                        max_length=20,
                    ),
                ),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
                (
                    "board",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="suspect_words",
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
                        related_name="suspect_words",
                        to="intake.ticket",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
                "constraints": [
                    models.CheckConstraint(
                        condition=models.Q(
                            models.Q(("part_id", ""), _negated=True),
                            models.Q(("mode_id", ""), _negated=True),
                        ),
                        name="a_word_names_part_and_failure",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(
                            ("kind", "taken_back"),
                            models.Q(("chip", ""), _negated=True),
                            _connector="OR",
                        ),
                        name="a_word_has_its_reason",
                    ),
                ],
            },
        ),
        protect(
            "diagnostics_advice", "diagnostics_sighting", "diagnostics_suspectword"
        ),
    ]
