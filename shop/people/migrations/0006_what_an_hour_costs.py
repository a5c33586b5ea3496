"""What an hour of work costs the shop itself, for the margin by board model."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("people", "0005_the_shops_own"),
    ]

    operations = [
        migrations.AddField(
            model_name="terms",
            name="cost_rate_minor",
            field=models.BigIntegerField(blank=True, null=True),
        ),
    ]
