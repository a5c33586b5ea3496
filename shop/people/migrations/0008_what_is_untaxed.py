"""What a rate of nothing means, and for which reason."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("people", "0007_texts_of_messages"),
    ]

    operations = [
        migrations.AddField(
            model_name="terms",
            name="untaxed_as",
            field=models.CharField(
                choices=[
                    ("E", "exempt"),
                    ("Z", "zero-rated"),
                    ("O", "outside of tax"),
                ],
                default="E",
                max_length=2,
            ),
        ),
        migrations.AddField(
            model_name="terms",
            name="untaxed_reason",
            field=models.CharField(blank=True, max_length=200),
        ),
    ]
