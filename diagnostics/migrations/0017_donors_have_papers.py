"""By which paper a donor is ours to take apart; what was said stands."""

import django.db.models.deletion
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models

from shop.records.append_only import protect


class Migration(migrations.Migration):
    dependencies = [
        ("diagnostics", "0016_proof_by_taps"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="DonorPaper",
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
                    "kind",
                    models.CharField(
                        choices=[
                            ("left", "left with us, signed by its owner"),
                            ("bought", "bought, with its receipt"),
                            ("given", "given to us, in writing"),
                            ("own", "our own from the start"),
                        ],
                        max_length=20,
                    ),
                ),
                ("reference", models.CharField(max_length=80)),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
                (
                    "board",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="donor_papers",
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
            ],
            options={
                "ordering": ["id"],
            },
        ),
        protect("diagnostics_donorpaper"),
    ]
