"""What an e-invoice says of the customer; empty is the shop's country and rates."""

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
        migrations.AddField(
            model_name="customer",
            name="taxed",
            field=models.CharField(
                blank=True,
                choices=[("AE", "none: reverse charge, the customer owes it")],
                max_length=2,
            ),
        ),
    ]
