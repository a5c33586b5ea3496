"""The country that an e-invoice names; empty is the shop's own."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("intake", "0011_erasing_leaves_a_day"),
    ]

    operations = [
        migrations.AddField(
            model_name="customer",
            name="country",
            field=models.CharField(blank=True, max_length=2),
        ),
    ]
