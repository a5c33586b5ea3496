"""An auditor looks until a day."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("people", "0008_what_is_untaxed"),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name="membership",
            name="the_role_is_known",
        ),
        migrations.AddField(
            model_name="membership",
            name="ends_on",
            field=models.DateField(blank=True, null=True),
        ),
        migrations.AlterField(
            model_name="membership",
            name="role",
            field=models.CharField(
                choices=[
                    ("front_desk", "front desk"),
                    ("technician", "technician"),
                    ("owner", "owner"),
                    ("auditor", "auditor"),
                ],
                max_length=20,
            ),
        ),
        migrations.AddConstraint(
            model_name="membership",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("role", "auditor"), _negated=True),
                    ("ends_on__isnull", False),
                    _connector="OR",
                ),
                name="an_auditor_has_a_last_day",
            ),
        ),
        migrations.AddConstraint(
            model_name="membership",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("role__in", ["front_desk", "technician", "owner", "auditor"])
                ),
                name="the_role_is_known",
            ),
        ),
    ]
