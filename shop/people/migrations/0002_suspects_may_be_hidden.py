"""A person may ask not to be told suspects before asking."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("people", "0001_people_shop_terms"),
    ]

    operations = [
        migrations.AddField(
            model_name="person",
            name="hides_suspects",
            field=models.BooleanField(default=False),
        ),
    ]
