from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("records", "0006_events_by_moment_and_person"),
    ]

    operations = [
        migrations.RemoveIndex(model_name="event", name="event_of_person"),
        migrations.AddIndex(
            model_name="event",
            index=models.Index(
                fields=["shop_id", "by", "at", "id"], name="event_of_person"
            ),
        ),
    ]
