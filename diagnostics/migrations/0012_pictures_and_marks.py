"""Pictures of board models, marks on them, and words on their circuits."""

import uuid

import django.db.models.deletion
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models

from shop.records.append_only import protect


class Migration(migrations.Migration):
    dependencies = [
        ("diagnostics", "0011_machine_runs"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="BoardPicture",
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
                    "side",
                    models.CharField(
                        choices=[("top", "top"), ("bottom", "bottom")], max_length=10
                    ),
                ),
                (
                    "outline",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("wide", "wide, 3 : 2"),
                            ("square", "square"),
                            ("notch_left", "L, notch at the left foot"),
                            ("notch_right", "L, notch at the right foot"),
                        ],
                        max_length=20,
                    ),
                ),
                ("name", models.CharField(blank=True, max_length=40)),
                ("width", models.PositiveIntegerField()),
                ("height", models.PositiveIntegerField()),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
                (
                    "board_model",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="pictures",
                        to="diagnostics.boardmodel",
                    ),
                ),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="BoardMark",
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
                ("uuid", models.UUIDField(default=uuid.uuid4, unique=True)),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("inductor", "inductor"),
                            ("jack", "adapter jack"),
                            ("pack", "pack connector"),
                            ("usb_c", "USB-C port"),
                            ("controller", "embedded controller or Super I/O"),
                            ("memory", "memory sockets or chips"),
                            ("chipset", "chipset"),
                            ("cpu", "CPU"),
                            ("graphics", "graphics chip"),
                            ("ground", "ground: screw ring or shield"),
                            ("coin_cell", "coin cell"),
                            ("corner", "corner of the board"),
                            ("point", "point of a rail"),
                        ],
                        max_length=12,
                    ),
                ),
                ("x", models.FloatField()),
                ("y", models.FloatField()),
                (
                    "size",
                    models.PositiveSmallIntegerField(
                        blank=True,
                        choices=[
                            (1, "under 4 mm"),
                            (2, "4 to 7 mm"),
                            (3, "7 to 10 mm"),
                            (4, "over 10 mm"),
                        ],
                        null=True,
                    ),
                ),
                (
                    "look",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("a", "a, grey"),
                            ("b", "b, black"),
                            ("c", "c, open coil"),
                            ("d", "d, another"),
                        ],
                        max_length=1,
                    ),
                ),
                ("marking", models.CharField(blank=True, max_length=8)),
                ("rail_id", models.CharField(blank=True, max_length=40)),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
                ("gone_at", models.DateTimeField(blank=True, null=True)),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "gone_by",
                    models.ForeignKey(
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
                (
                    "picture",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="marks",
                        to="diagnostics.boardpicture",
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="CircuitWord",
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
                ("marks", models.JSONField()),
                (
                    "circuit",
                    models.CharField(
                        choices=[
                            ("charge", "charge"),
                            ("standby", "standby"),
                            ("memory", "memory"),
                            ("chipset", "chipset"),
                            ("cpu", "cpu"),
                            ("graphics", "graphics"),
                            ("unknown", "unknown"),
                        ],
                        max_length=12,
                    ),
                ),
                ("rail_id", models.CharField(blank=True, max_length=40)),
                ("settles", models.PositiveBigIntegerField(default=0)),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
                (
                    "board_model",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="circuit_words",
                        to="diagnostics.boardmodel",
                    ),
                ),
                (
                    "by",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="+",
                        to=settings.AUTH_USER_MODEL,
                    ),
                ),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.AddConstraint(
            model_name="boardpicture",
            constraint=models.CheckConstraint(
                condition=models.Q(("outline", ""), ("name", ""), _connector="XOR"),
                name="a_picture_is_a_photo_or_an_outline",
            ),
        ),
        migrations.AddConstraint(
            model_name="boardpicture",
            constraint=models.CheckConstraint(
                condition=models.Q(("width__gt", 0), ("height__gt", 0)),
                name="a_picture_has_a_size",
            ),
        ),
        migrations.AddConstraint(
            model_name="boardmark",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("x__gte", 0), ("x__lte", 1), ("y__gte", 0), ("y__lte", 1)
                ),
                name="a_mark_lies_in_its_picture",
            ),
        ),
        migrations.AddConstraint(
            model_name="boardmark",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("kind", "inductor"), _negated=True),
                    models.Q(
                        ("size__isnull", False), models.Q(("look", ""), _negated=True)
                    ),
                    _connector="OR",
                ),
                name="an_inductor_has_size_and_look",
            ),
        ),
        migrations.AddConstraint(
            model_name="boardmark",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("kind", "point"), _negated=True),
                    models.Q(("rail_id", ""), _negated=True),
                    _connector="OR",
                ),
                name="a_point_names_its_rail",
            ),
        ),
        protect("diagnostics_circuitword"),
    ]
