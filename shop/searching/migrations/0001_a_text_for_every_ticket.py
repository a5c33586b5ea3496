"""What a ticket is found by: its words, folded."""

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("intake", "0005_places"),
        ("people", "0006_what_an_hour_costs"),
    ]

    operations = [
        migrations.CreateModel(
            name="TicketText",
            fields=[
                (
                    "ticket",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.CASCADE,
                        primary_key=True,
                        related_name="search_text",
                        serialize=False,
                        to="intake.ticket",
                    ),
                ),
                ("text", models.TextField()),
                (
                    "shop",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to="people.shop",
                    ),
                ),
            ],
        ),
    ]
