from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("records", "0005_messages_are_worded"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.AddIndex(
            model_name="event",
            index=models.Index(fields=["shop_id", "at", "id"], name="event_of_moment"),
        ),
        migrations.AddIndex(
            model_name="event",
            index=models.Index(fields=["by", "at", "id"], name="event_of_person"),
        ),
    ]
