"""The till, payment reminders, the names of accounts."""

import django.db.models.deletion
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models


class Migration(migrations.Migration):
    initial = True

    dependencies = [
        ("billing", "0006_papers_let_names_go"),
        ("people", "0009_auditors_have_a_last_day"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="CashMove",
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
                    "why",
                    models.CharField(
                        choices=[
                            ("from_owner", "put in by the owner (float)"),
                            ("from_bank", "fetched from the bank (change)"),
                            ("to_bank", "taken to the bank"),
                            ("to_owner", "taken out by the owner"),
                            ("bought", "something bought for the shop"),
                        ],
                        max_length=20,
                    ),
                ),
                ("currency", models.CharField(max_length=3)),
                ("amount_minor", models.BigIntegerField()),
                ("said", models.CharField(blank=True, max_length=200)),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "shop",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="cash_moves",
                        to="people.shop",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="AccountName",
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
                ("code", models.CharField(max_length=40)),
                ("number", models.CharField(max_length=20)),
                ("name", models.CharField(max_length=80)),
                ("since", models.DateField()),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "shop",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="account_names",
                        to="people.shop",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="CashDay",
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
                ("serial", models.PositiveIntegerField()),
                ("currency", models.CharField(max_length=3)),
                ("carried_minor", models.BigIntegerField()),
                ("expected_minor", models.BigIntegerField()),
                ("counted_minor", models.BigIntegerField()),
                ("pieces", models.JSONField(default=dict)),
                ("reason", models.CharField(blank=True, max_length=300)),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "shop",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="cash_days",
                        to="people.shop",
                    ),
                ),
            ],
            options={
                "ordering": ["serial"],
            },
        ),
        migrations.CreateModel(
            name="DayMove",
            fields=[
                (
                    "move",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        primary_key=True,
                        related_name="cash_day",
                        serialize=False,
                        to="books.cashmove",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="DayPayment",
            fields=[
                (
                    "payment",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        primary_key=True,
                        related_name="cash_day",
                        serialize=False,
                        to="billing.payment",
                    ),
                ),
                (
                    "day",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="payments",
                        to="books.cashday",
                    ),
                ),
            ],
        ),
        migrations.CreateModel(
            name="PaymentReminder",
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
                ("level", models.PositiveSmallIntegerField()),
                ("currency", models.CharField(max_length=3)),
                ("owed_minor", models.BigIntegerField()),
                ("language", models.CharField(max_length=10)),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "invoice",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reminders",
                        to="billing.invoice",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="ReminderRule",
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
                ("first_days", models.PositiveIntegerField()),
                ("second_days", models.PositiveIntegerField()),
                ("last_days", models.PositiveIntegerField()),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "shop",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="reminder_rules",
                        to="people.shop",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.AddConstraint(
            model_name="cashday",
            constraint=models.UniqueConstraint(
                fields=("shop", "serial"), name="a_till_is_counted_once_at_a_time"
            ),
        ),
        migrations.AddConstraint(
            model_name="cashday",
            constraint=models.CheckConstraint(
                condition=models.Q(("counted_minor__gte", 0)),
                name="no_till_holds_less_than_nothing",
            ),
        ),
        migrations.AddConstraint(
            model_name="cashday",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("counted_minor", models.F("expected_minor")),
                    ("serial", 1),
                    models.Q(("reason", ""), _negated=True),
                    _connector="OR",
                ),
                name="a_difference_has_a_reason",
            ),
        ),
        migrations.AddField(
            model_name="daymove",
            name="day",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="moves",
                to="books.cashday",
            ),
        ),
        migrations.AddConstraint(
            model_name="cashmove",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("amount_minor__gt", 0),
                        ("why__in", ["from_owner", "from_bank"]),
                    ),
                    models.Q(
                        ("amount_minor__lt", 0),
                        ("why__in", ["to_bank", "to_owner", "bought"]),
                    ),
                    _connector="OR",
                ),
                name="cash_moves_the_way_it_says",
            ),
        ),
        migrations.AddConstraint(
            model_name="paymentreminder",
            constraint=models.UniqueConstraint(
                fields=("invoice", "level"), name="each_reminder_goes_out_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="paymentreminder",
            constraint=models.CheckConstraint(
                condition=models.Q(("level__gte", 1), ("level__lte", 3)),
                name="there_are_three_reminders",
            ),
        ),
        migrations.AddConstraint(
            model_name="reminderrule",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("second_days__gt", models.F("first_days")),
                    ("last_days__gt", models.F("second_days")),
                ),
                name="reminders_come_one_after_the_other",
            ),
        ),
    ]
