"""What a sale took off the shelf, and what of it a credit note puts back."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime

from django.db.models import Q, QuerySet, Sum
from django.utils.translation import gettext as _

from shop.billing.models import Invoice, InvoiceLine
from shop.billing.shelf import fifo
from shop.billing.shelf.moves import Taken, item_locked, put_back
from shop.billing.shelf_models import LineMove, LotDraw
from shop.people.models import Person
from shop.records.errors import Refused


def sold_keep(invoice: Invoice, taken: Mapping[int, Sequence[Taken]]) -> None:
    """Which moves the lines of a sale are about, by the place of the line."""
    lines = {line.position: line for line in invoice.lines.all()}
    LineMove.objects.bulk_create(
        LineMove(line=lines[place], move=one.move)
        for place, pieces in taken.items()
        for one in pieces
        if one.move is not None
    )


def still_out(invoice: Invoice) -> dict[int, int]:
    """The pieces of each line that were sold off the shelf and have not come back."""
    own = LineMove.objects.filter(line__invoice=invoice)
    back = LineMove.objects.filter(line__corrects__invoice=invoice)
    out: dict[int, int] = defaultdict(int)
    for place, moved in own.values_list("line__position", "move__quantity"):
        out[place] -= moved
    for place, moved in back.values_list("line__corrects__position", "move__quantity"):
        out[place] -= moved
    return {place: pieces for place, pieces in out.items() if pieces > 0}


def shelve(
    note: Invoice, pieces: Mapping[int, int], *, by: Person, at: datetime
) -> None:
    """Put back what comes back with a credit note, by the corrected line's place.

    Within the transaction that issues the note. What was drawn last goes back first,
    each piece to its own lot at its own cost.
    """
    lines = {
        line.corrects.position: line
        for line in note.lines.select_related("corrects")
        if line.corrects is not None
    }
    for place, count in pieces.items():
        line = lines.get(place)
        if line is None:
            raise Refused(
                _("Take back a sum of this line too: its part comes back with it."),
                field=f"back_{place}",
            )
        _line_shelve(line, place, count, by, at)


def _line_shelve(
    line: InvoiceLine, place: int, count: int, by: Person, at: datetime
) -> None:
    sold = _of_line(line).select_related("move__item").first()
    item = item_locked(sold.move.item) if sold is not None else None
    lots = list(_lots_out(line))
    out = sum(lot.left for lot in lots)
    if item is None or not 1 <= count <= out:
        raise Refused(
            _("Sold and not back yet: %(out)d.") % {"out": out},
            field=f"pieces_{place}" if out > 1 else f"back_{place}",
        )
    move = put_back(item, by, fifo.take(lots, count), at=at)
    LineMove.objects.create(line=line, move=move)


def _of_line(line: InvoiceLine) -> QuerySet[LineMove]:
    """The moves of the line that is taken back, and of what came back of it."""
    sold = line.corrects_id
    return LineMove.objects.filter(Q(line=sold) | Q(line__corrects=sold))


def _lots_out(line: InvoiceLine) -> Iterator[fifo.Lot]:
    """What is still out of each lot, the lot drawn last first."""
    draws = LotDraw.objects.filter(move__in=_of_line(line).values("move"))
    sums = draws.values_list("lot_id", "lot__cost_minor").annotate(net=Sum("quantity"))
    for lot_id, cost, net in sums.order_by("-lot_id"):
        if net < 0:
            yield fifo.Lot(lot_id, -net, cost)
