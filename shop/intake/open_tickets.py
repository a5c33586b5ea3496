"""Which tickets may be open still, so that nobody has to look through the closed ones.

A handover is only ever added: what was closed stays closed. So the open ones of a
while ago and whatever came since hold all that are open now. Their keys are kept in
the worker's memory.
"""

from typing import NamedTuple

from django.db import transaction
from django.db.models import QuerySet

from shop.intake.models import Ticket
from shop.people.models import Shop
from shop.records.cache import cache

KEPT_SECONDS = 24 * 60 * 60
TAIL = 500  # an earlier number may be committed later
MOST = 1000  # keys in one question


class Kept(NamedTuple):
    """The open ones, and the newest of them."""

    newest: int
    keys: frozenset[int]


def open_of(shop: Shop, rows: QuerySet[Ticket]) -> list[Ticket]:
    """Those of a shop's tickets that are open, oldest first."""
    name = f"intake-open-{shop.pk}"
    kept: Kept | None = cache.get(name)
    some = rows if kept is None else rows.filter(pk__in=_maybe(shop, kept))
    found = list(some.filter(handover=None).order_by("id"))
    if found and len(found) <= MOST:
        now = Kept(found[-1].pk, frozenset(one.pk for one in found))
        # What this transaction closed may yet be taken back.
        transaction.on_commit(lambda: cache.set(name, now, KEPT_SECONDS))
    return found


def _maybe(shop: Shop, kept: Kept) -> set[int]:
    """By key alone: asked with an OR, SQLite reads all tickets of the shop."""
    since = Ticket.objects.filter(shop=shop, pk__gt=kept.newest - TAIL)
    return {*kept.keys, *since.order_by().values_list("pk", flat=True)}
