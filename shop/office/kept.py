"""What was added up for the office is kept until something happens in the shop.

Whatever is written is told by an event, so that the newest event says whether sums
may have changed; the day says it for what ends by itself (a warranty, a quote).
"""

from collections.abc import Callable
from typing import TypeVar

from shop.office.asked import Asked
from shop.people.models import Shop
from shop.records.cache import cache
from shop.records.models import Event

KEPT_SECONDS = 24 * 60 * 60
Sums = TypeVar("Sums")


def kept(name: str, shop: Shop, asked: Asked, make: Callable[[], Sums]) -> Sums:
    """``make`` is asked where nothing is kept; two small queries else."""
    key = _key(name, shop, asked)
    found: Sums | None = cache.get(key)
    if found is None:
        found = make()
        cache.set(key, found, KEPT_SECONDS)
    return found


def _key(name: str, shop: Shop, asked: Asked) -> str:
    return f"{place_of(name, shop, asked)}-{newest_event(shop)}"


def newest_event(shop: Shop) -> int:
    newest = Event.objects.filter(shop_id=shop.pk).order_by("-id")
    return newest.values_list("id", flat=True).first() or 0


def place_of(name: str, shop: Shop, asked: Asked) -> str:
    """Under which name it is kept, whatever has happened."""
    until = "now" if asked.until >= asked.now else f"{asked.until.timestamp():.0f}"
    told = (
        name,
        shop.pk,
        shop.currency,
        shop.time_zone,
        f"{asked.since.timestamp():.0f}",
        until,
        asked.now.astimezone(shop.zone).date(),
    )
    return "-".join(["office", *(str(one) for one in told)]).replace("/", ".")
