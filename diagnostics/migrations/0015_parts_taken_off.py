"""What is taken off donor boards; never changed, like the acts that it belongs to."""

import django.db.models.deletion
from django.db import migrations, models

from shop.records.append_only import protect


class Migration(migrations.Migration):
    dependencies = [
        ("diagnostics", "0014_readings_from_tablets"),
        ("intake", "0005_places"),
    ]

    operations = [
        migrations.CreateModel(
            name="TakenOff",
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
                ("name", models.CharField(blank=True, max_length=80)),
                (
                    "for_ticket",
                    models.ForeignKey(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="taken_off",
                        to="intake.ticket",
                    ),
                ),
                (
                    "intervention",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="taken_off",
                        to="diagnostics.intervention",
                    ),
                ),
            ],
            options={
                "verbose_name_plural": "taken off",
                "ordering": ["id"],
            },
        ),
        protect("diagnostics_takenoff"),
    ]
