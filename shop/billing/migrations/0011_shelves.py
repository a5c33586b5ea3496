"""Lots, claims, counts, and what an order still waits for."""

import django.db.models.deletion
import django.utils.timezone
from django.conf import settings
from django.db import migrations, models

from shop.records.append_only import protect, unprotect


class Migration(migrations.Migration):
    dependencies = [
        ("billing", "0010_loan_devices"),
        ("intake", "0013_reassembly_is_agreed"),
        ("people", "0008_what_is_untaxed"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        unprotect("billing_stockmove"),
        migrations.CreateModel(
            name="Claim",
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
                    "kind",
                    models.CharField(
                        choices=[("wrong", "wrong part"), ("dead", "dead on arrival")],
                        max_length=20,
                    ),
                ),
                ("supplier", models.CharField(max_length=120)),
                ("name", models.CharField(max_length=120)),
                ("quantity", models.PositiveIntegerField()),
                ("currency", models.CharField(max_length=3)),
                ("worth_minor", models.BigIntegerField()),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="ClaimEnd",
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
                    "how",
                    models.CharField(
                        choices=[
                            ("credited", "credited"),
                            ("replaced", "replaced"),
                            ("refused", "refused by the supplier"),
                        ],
                        max_length=20,
                    ),
                ),
                ("currency", models.CharField(max_length=3)),
                ("amount_minor", models.BigIntegerField(default=0)),
                ("reference", models.CharField(blank=True, max_length=40)),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
            ],
        ),
        migrations.CreateModel(
            name="LotDraw",
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
                ("quantity", models.IntegerField()),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="StockCount",
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
                ("expected", models.PositiveIntegerField()),
                ("counted", models.PositiveIntegerField()),
                (
                    "reason",
                    models.CharField(
                        blank=True,
                        choices=[
                            ("", "no difference"),
                            ("lost", "lost or thrown away"),
                            ("broken", "broken or unusable"),
                            ("not_written", "used and not written down"),
                            ("found", "found again"),
                            ("miscounted", "miscounted before"),
                        ],
                        max_length=20,
                    ),
                ),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.CreateModel(
            name="StockLot",
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
                ("name", models.CharField(blank=True, max_length=80)),
                ("origin", models.CharField(blank=True, max_length=60)),
                ("is_salvaged", models.BooleanField(default=False)),
                ("cost_minor", models.BigIntegerField()),
                ("price_minor", models.BigIntegerField(blank=True, null=True)),
                ("quantity", models.PositiveIntegerField()),
                ("left", models.PositiveIntegerField()),
            ],
            options={
                "ordering": ["id"],
            },
        ),
        migrations.AddField(
            model_name="orderline",
            name="awaited",
            field=models.PositiveIntegerField(default=0),
        ),
        migrations.AddField(
            model_name="orderline",
            name="item",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="order_lines",
                to="billing.stockitem",
            ),
        ),
        migrations.AddField(
            model_name="orderline",
            name="reference",
            field=models.CharField(blank=True, max_length=40),
        ),
        migrations.AddField(
            model_name="stockitem",
            name="barcode",
            field=models.CharField(blank=True, max_length=40),
        ),
        migrations.AddField(
            model_name="stockitem",
            name="place",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="stock_items",
                to="intake.place",
            ),
        ),
        migrations.AddField(
            model_name="stockitem",
            name="reorder_at",
            field=models.PositiveIntegerField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="stockitem",
            name="supplier",
            field=models.CharField(blank=True, max_length=120),
        ),
        migrations.AddField(
            model_name="stockmove",
            name="order_line",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="moves",
                to="billing.orderline",
            ),
        ),
        migrations.AlterField(
            model_name="stockmove",
            name="why",
            field=models.CharField(
                choices=[
                    ("received", "received"),
                    ("used", "used"),
                    ("reserved", "reserved"),
                    ("counted", "counted"),
                    ("returned", "returned"),
                    ("salvaged", "taken off a donor"),
                    ("sent_back", "sent back"),
                ],
                max_length=20,
            ),
        ),
        migrations.AddConstraint(
            model_name="orderline",
            constraint=models.CheckConstraint(
                condition=models.Q(("awaited__lte", models.F("quantity"))),
                name="no_more_is_awaited_than_was_ordered",
            ),
        ),
        migrations.AddConstraint(
            model_name="stockitem",
            constraint=models.UniqueConstraint(
                condition=models.Q(("barcode", ""), _negated=True),
                fields=("shop", "barcode"),
                name="a_barcode_is_of_one_part",
            ),
        ),
        migrations.AddField(
            model_name="claim",
            name="by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="claim",
            name="item",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="claims",
                to="billing.stockitem",
            ),
        ),
        migrations.AddField(
            model_name="claim",
            name="move",
            field=models.OneToOneField(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="claim",
                to="billing.stockmove",
            ),
        ),
        migrations.AddField(
            model_name="claim",
            name="order_line",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="claims",
                to="billing.orderline",
            ),
        ),
        migrations.AddField(
            model_name="claim",
            name="replacement",
            field=models.OneToOneField(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="replaces",
                to="billing.orderline",
            ),
        ),
        migrations.AddField(
            model_name="claim",
            name="shop",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="claims",
                to="people.shop",
            ),
        ),
        migrations.AddField(
            model_name="claim",
            name="ticket",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="claims",
                to="intake.ticket",
            ),
        ),
        migrations.AddField(
            model_name="claimend",
            name="by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="claimend",
            name="claim",
            field=models.OneToOneField(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="end",
                to="billing.claim",
            ),
        ),
        migrations.AddField(
            model_name="lotdraw",
            name="move",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="draws",
                to="billing.stockmove",
            ),
        ),
        migrations.AddField(
            model_name="stockcount",
            name="by",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="stockcount",
            name="item",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="counts",
                to="billing.stockitem",
            ),
        ),
        migrations.AddField(
            model_name="stockcount",
            name="move",
            field=models.OneToOneField(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="count",
                to="billing.stockmove",
            ),
        ),
        migrations.AddField(
            model_name="stocklot",
            name="came_by",
            field=models.OneToOneField(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="lot_made",
                to="billing.stockmove",
            ),
        ),
        migrations.AddField(
            model_name="stocklot",
            name="item",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="lots",
                to="billing.stockitem",
            ),
        ),
        migrations.AddField(
            model_name="lotdraw",
            name="lot",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="draws",
                to="billing.stocklot",
            ),
        ),
        migrations.AddConstraint(
            model_name="stockcount",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("counted", models.F("expected")),
                        ("move", None),
                        ("reason", ""),
                    ),
                    models.Q(
                        models.Q(("counted", models.F("expected")), _negated=True),
                        models.Q(("reason", ""), _negated=True),
                        ("move__isnull", False),
                    ),
                    _connector="OR",
                ),
                name="a_difference_has_its_reason_and_its_move",
            ),
        ),
        migrations.AddIndex(
            model_name="stocklot",
            index=models.Index(
                condition=models.Q(("left__gt", 0)),
                fields=["item", "id"],
                name="lots_that_are_not_empty",
            ),
        ),
        migrations.AddConstraint(
            model_name="stocklot",
            constraint=models.UniqueConstraint(
                condition=models.Q(("origin", ""), _negated=True),
                fields=("origin",),
                name="what_is_salvaged_comes_to_the_shelf_once",
            ),
        ),
        migrations.AddConstraint(
            model_name="stocklot",
            constraint=models.CheckConstraint(
                condition=models.Q(("left__lte", models.F("quantity"))),
                name="no_lot_grows",
            ),
        ),
        migrations.AddConstraint(
            model_name="stocklot",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("is_salvaged", False),
                    models.Q(("cost_minor", 0), ("price_minor__isnull", False)),
                    _connector="OR",
                ),
                name="what_is_salvaged_costs_nothing_and_has_its_price",
            ),
        ),
        migrations.AddConstraint(
            model_name="lotdraw",
            constraint=models.CheckConstraint(
                condition=models.Q(("quantity", 0), _negated=True),
                name="a_draw_draws_something",
            ),
        ),
        protect("billing_stockmove"),
    ]
