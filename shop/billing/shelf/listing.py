"""What the shelf comes to: free, awaited, worth, and what is to be ordered again."""

from bisect import bisect
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property

from django.db.models import F, Max, OuterRef, Q, QuerySet, Subquery, Sum, TextField
from django.db.models.functions import Cast, Substr

from shop.billing.models import OrderLine, StockItem, StockMove
from shop.billing.shelf import reorder
from shop.billing.shelf.kept import standing
from shop.billing.shelf_models import LotDraw, StockLot
from shop.money import Money
from shop.people.models import Shop

# How far back use and lead times are looked at (jd).
LOOKED_BACK = timedelta(days=180)
Why = StockMove.Why
# "2026-05-31 08:19" in UTC, on both databases: SQLite would ask Python for each day.
MINUTE = Substr(Cast("at", TextField()), 1, 16)


@dataclass(frozen=True)
class Row:
    """One part: ``worth`` by what its lots cost, ``point`` from its use."""

    item: StockItem
    kept: int
    awaited: int
    worth: Money
    point: reorder.Point | reorder.TooFew

    @property
    def free(self) -> int:
        """Below zero where more is kept than a count has left."""
        return self.item.on_hand - self.kept

    @property
    def position(self) -> int:
        return self.free + self.awaited

    @property
    def reorder_at(self) -> int | None:
        """The owner's own point, else the one reckoned from use."""
        if self.item.reorder_at is not None:
            return self.item.reorder_at
        return self.point.at if isinstance(self.point, reorder.Point) else None

    @property
    def too_few(self) -> reorder.TooFew | None:
        return self.point if isinstance(self.point, reorder.TooFew) else None

    @cached_property
    def to_order(self) -> int:
        """How many to order now; 0 where enough is here or on its way."""
        at = self.reorder_at
        if at is None:
            return 0
        usual = self.point.up_to if isinstance(self.point, reorder.Point) else 0
        return reorder.to_order(up_to=max(usual, 2 * at), at=at, position=self.position)


def found(shop: Shop, asked: str = "") -> QuerySet[StockItem]:
    """Parts by every word of their name, code or kind, or by their barcode."""
    rows = shop.stock_items.select_related("place").order_by("name", "id")
    for word in asked.split():
        rows = rows.filter(
            Q(name__icontains=word)
            | Q(code__icontains=word)
            | Q(part_id__icontains=word)
            | Q(supplier__icontains=word)
            | Q(place__name__iexact=word)
            | Q(barcode=word)
        )
    return rows


def rows_of(shop: Shop, items: Iterable[StockItem], now: datetime) -> list[Row]:
    """The parts with their figures; six queries, however many they are."""
    items = list(items)
    kept, awaited, worth = _kept(items, now), _awaited(items), _worth(items)
    points = _points(shop, items, now)
    return [
        Row(
            item,
            kept.get(item.pk, 0),
            awaited.get(item.pk, 0),
            Money.from_minor(worth.get(item.pk, 0), item.currency),
            points[item.pk],
        )
        for item in items
    ]


def _kept(items: Sequence[StockItem], now: datetime) -> dict[int, int]:
    rows = standing(now).filter(item__in=items).order_by()
    return {pk: -n for pk, n in rows.values_list("item").annotate(n=Sum("quantity"))}


def _awaited(items: Sequence[StockItem]) -> dict[int, int]:
    """On its way for the shelf; what comes for a ticket is not free when it is here."""
    rows = OrderLine.objects.filter(item__in=items, awaited__gt=0, ticket=None)
    return dict(rows.order_by().values_list("item").annotate(n=Sum("awaited")))


def _worth(items: Sequence[StockItem]) -> dict[int, int]:
    lots = StockLot.objects.filter(item__in=items, left__gt=0).order_by()
    sums = lots.values_list("item").annotate(n=Sum(F("left") * F("cost_minor")))
    return dict(sums)


def _points(
    shop: Shop, items: Sequence[StockItem], now: datetime
) -> dict[int, reorder.Point | reorder.TooFew]:
    since = now - LOOKED_BACK
    used, first, leads = _used(shop, items, since), _first(items), _leads(items, since)
    today = now.astimezone(shop.zone).date()

    def days_of(item: StockItem) -> list[int]:
        """Pieces on each day since it came or was looked back to, today left out."""
        begin = max(first.get(item.pk, now), since).astimezone(shop.zone).date()
        own = used.get(item.pk, {})
        days = (today - begin).days
        return [own.get(begin + timedelta(days=n), 0) for n in range(days)]

    return {
        item.pk: reorder.point_of(days_of(item), leads.get(item.pk, []))
        for item in items
    }


def _used(
    shop: Shop, items: Sequence[StockItem], since: datetime
) -> dict[int, dict[date, int]]:
    moves = StockMove.objects.filter(
        item__in=items, why=Why.USED, at__gte=since, reversed_by=None, quantity__lt=0
    )
    first = since.astimezone(shop.zone).date()
    days = [first + timedelta(days=n) for n in range(LOOKED_BACK.days + 2)]
    begin = [_midnight(shop, day) for day in days]
    found: dict[int, dict[date, int]] = {}
    for pk, minute, quantity in moves.values_list("item", MINUTE, "quantity"):
        own, day = found.setdefault(pk, {}), days[bisect(begin, minute) - 1]
        own[day] = own.get(day, 0) - quantity
    return found


def _midnight(shop: Shop, day: date) -> str:
    at = datetime.combine(day, time.min, shop.zone).astimezone(UTC)
    return f"{at:%Y-%m-%d %H:%M}"


def _first(items: Sequence[StockItem]) -> dict[int, datetime]:
    moves = StockMove.objects.filter(item=OuterRef("pk")).order_by("at").values("at")
    rows = StockItem.objects.filter(pk__in=[item.pk for item in items])
    first = rows.annotate(first=Subquery(moves[:1])).filter(first__isnull=False)
    return dict(first.values_list("pk", "first"))


def _leads(items: Sequence[StockItem], since: datetime) -> dict[int, list[float]]:
    """Days from ordering to the last piece, of what came whole."""
    lines = OrderLine.objects.filter(item__in=items, awaited=0)
    rows = lines.annotate(came=Max("moves__at")).filter(came__gte=since).order_by()
    leads: dict[int, list[float]] = {}
    for pk, ordered_at, came in rows.values_list("item", "ordered_at", "came"):
        if pk is not None:
            days = (came - ordered_at).total_seconds() / 86_400
            leads.setdefault(pk, []).append(days)
    return leads


@dataclass(frozen=True)
class Sums:
    """The shelf in one line."""

    parts: int
    pieces: int
    worth: Money


def sums_of(shop: Shop) -> Sums:
    """All that is on hand and its worth, summed as integers by the database."""
    items = shop.stock_items.filter(on_hand__gt=0, currency=shop.currency)
    lots = StockLot.objects.filter(item__shop=shop, item__currency=shop.currency)
    worth = lots.filter(left__gt=0).aggregate(n=Sum(F("left") * F("cost_minor")))["n"]
    return Sums(
        parts=items.count(),
        pieces=items.aggregate(n=Sum("on_hand"))["n"] or 0,
        worth=Money.from_minor(worth or 0, shop.currency),
    )


def worth_at(shop: Shop, at: datetime) -> Money:
    """What lay on the shelf at that moment was worth: all that was drawn until then."""
    draws = LotDraw.objects.filter(
        lot__item__shop=shop, lot__item__currency=shop.currency, move__at__lte=at
    )
    worth = draws.aggregate(n=Sum(F("quantity") * F("lot__cost_minor")))["n"]
    return Money.from_minor(worth or 0, shop.currency)
