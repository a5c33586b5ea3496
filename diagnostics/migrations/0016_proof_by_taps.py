"""Proof by single taps, its level, and the photos on its sheet.

SQLite makes the table anew for a column, which would lose its triggers.
"""

import django.db.models.deletion
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models

from shop.records.append_only import protect, unprotect


class Migration(migrations.Migration):
    dependencies = [
        ("diagnostics", "0015_parts_taken_off"),
        ("intake", "0005_places"),
        ("photos", "0001_photos_and_links"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        unprotect("diagnostics_proofitem"),
        migrations.AddField(
            model_name="proofitem",
            name="part",
            field=models.CharField(blank=True, max_length=40),
        ),
        migrations.AlterField(
            model_name="proofitem",
            name="result",
            field=models.CharField(
                choices=[
                    ("passed", "passed"),
                    ("failed", "failed"),
                    ("waived", "waived"),
                    ("not_fitted", "not fitted"),
                    ("taken_back", "taken back"),
                ],
                max_length=20,
            ),
        ),
        migrations.CreateModel(
            name="ProofLevel",
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
                    "level",
                    models.CharField(
                        choices=[("short", "short"), ("full", "full")], max_length=10
                    ),
                ),
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
                        related_name="proof_levels",
                        to="intake.ticket",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="ProofPhoto",
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
                ("is_on", models.BooleanField()),
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
                    "photo",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="photos.photo",
                    ),
                ),
                (
                    "ticket",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="proof_photos",
                        to="intake.ticket",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        protect(
            "diagnostics_proofitem", "diagnostics_prooflevel", "diagnostics_proofphoto"
        ),
    ]
