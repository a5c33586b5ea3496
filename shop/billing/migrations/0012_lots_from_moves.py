"""What lies on the shelf gets its lots; what is ordered, what is still awaited.

The moves of an item are played again, oldest first: what came in is a lot, what went
out is drawn from the oldest, what was taken back goes to where it was drawn from.
"""

from collections.abc import Iterator
from typing import Any

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor

RESERVED = "reserved"
ENDS = ("part_arrived", "order_ended")


def forward(apps: Apps, editor: BaseDatabaseSchemaEditor) -> None:
    item_model = apps.get_model("billing", "StockItem")
    for item in item_model._default_manager.order_by("id").iterator():
        _replay(apps, item)
    _await(apps)


def _replay(apps: Apps, item: Any) -> None:
    lot_model = apps.get_model("billing", "StockLot")
    draw_model = apps.get_model("billing", "LotDraw")
    lots, drawn = list[Any](), dict[int, dict[int, int]]()
    for move in item.moves.exclude(why=RESERVED).order_by("id"):
        if move.reverses_id in drawn:
            parts = {at: -n for at, n in drawn[move.reverses_id].items()}
        elif move.quantity > 0:
            lot = lot_model(
                item=item,
                came_by=move,
                name=move.lot,
                cost_minor=move.cost_minor,
                quantity=move.quantity,
                left=0,
            )
            lot.save()
            lots.append(lot)
            parts = {len(lots) - 1: move.quantity}
        else:
            parts = dict(_oldest(lots, -move.quantity))
        drawn[move.pk] = parts
        for at, quantity in parts.items():
            lots[at].left += quantity
            draw_model(move=move, lot=lots[at], quantity=quantity).save()
    for lot in lots:
        lot.save(update_fields=["left"])


def _oldest(lots: list[Any], quantity: int) -> Iterator[tuple[int, int]]:
    for at, lot in enumerate(lots):
        part = min(lot.left, quantity)
        if part:
            quantity -= part
            yield at, -part


def _await(apps: Apps) -> None:
    """Nothing is awaited of what arrived or ended; all of the rest."""
    events = apps.get_model("records", "Event")._default_manager
    rows = events.filter(kind__in=ENDS).values_list("ids", flat=True)
    over = {ids.get("order_line") for ids in rows.iterator()}
    lines = apps.get_model("billing", "OrderLine")._default_manager
    for line in lines.order_by("id").iterator():
        if line.pk not in over:
            line.awaited = line.quantity
            line.save(update_fields=["awaited"])


class Migration(migrations.Migration):
    dependencies = [
        ("billing", "0011_shelves"),
        ("records", "0005_messages_are_worded"),
    ]

    operations = [migrations.RunPython(forward, migrations.RunPython.noop)]
