"""Goods in the journal: the shelf at what its lots cost, parts past it, claims."""

from collections.abc import Iterator

from django.db.models import (
    BigIntegerField,
    Exists,
    ExpressionWrapper,
    F,
    OuterRef,
    QuerySet,
    Subquery,
    Sum,
    Value,
)
from django.db.models.functions import Coalesce

from shop.billing.models import PartUse, StockMove
from shop.billing.shelf_models import ClaimEnd, LotDraw
from shop.books.dated import Dated, day_of, mark_of, rows_in
from shop.books.periods import Period
from shop.books.posting import others

WORTH = ExpressionWrapper(
    F("quantity") * F("lot__cost_minor"), output_field=BigIntegerField()
)


def worth_of(draws: QuerySet[LotDraw], move: str = "pk") -> Coalesce:
    """What the lots cost that a move drew or brought; below zero: drawn."""
    own = draws.filter(move=OuterRef(move)).order_by().values("move")
    sums = own.annotate(sum=Sum(WORTH)).values("sum")
    return Coalesce(Subquery(sums), Value(0), output_field=BigIntegerField())


def of_stock(period: Period) -> Iterator[Dated]:
    """What moved and cost something: nothing kept, and nothing salvaged."""
    earlier = StockMove.objects.filter(item=OuterRef("item"), pk__lt=OuterRef("pk"))
    rows = (
        StockMove.objects.filter(item__shop=period.shop)
        .annotate(is_first=~Exists(earlier), worth=worth_of(LotDraw.objects.all()))
        .exclude(worth=0)
        .select_related("item")
    )
    for row in rows_in(rows, period):
        entry = others.stock_moved(
            day_of(row.at, period.shop),
            mark_of("S", row.pk),
            row.item.currency,
            row.why,
            row.worth,
            is_first=row.is_first,
        )
        yield row.at, 3, row.pk, entry


def of_parts(period: Period) -> Iterator[Dated]:
    """Parts that never lay on the shelf."""
    rows = PartUse.objects.filter(ticket__shop=period.shop, move=None)
    for row in rows_in(rows.exclude(cost_minor=0), period):
        cost = row.quantity * row.cost_minor
        day, mark = day_of(row.at, period.shop), mark_of("U", row.pk)
        yield row.at, 4, row.pk, others.part_bought(day, mark, row.currency, cost)


def of_claims(period: Period) -> Iterator[Dated]:
    """What was sent back off the shelf and the supplier does not make good."""
    rows = (
        ClaimEnd.objects.filter(claim__shop=period.shop, claim__move__isnull=False)
        .exclude(how=ClaimEnd.How.REPLACED)
        .annotate(
            lost=-worth_of(LotDraw.objects.all(), "claim__move") - F("amount_minor")
        )
        .exclude(lost=0)
    )
    for row in rows_in(rows, period):
        day, mark = day_of(row.at, period.shop), mark_of("K", row.pk)
        yield row.at, 5, row.pk, others.claim_lost(day, mark, row.currency, row.lost)
