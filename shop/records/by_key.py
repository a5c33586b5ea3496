"""Events looked for one after the other, from the newest back or the oldest on."""

from collections.abc import Collection

from django.db.models import QuerySet, Value
from django.db.models.functions import Coalesce

from shop.records.models import Event


def by_key(shops: Collection[int], kinds: Collection[str]) -> QuerySet[Event]:
    """For a few of many, in the order of their keys.

    The columns are hidden from their index: by it, a database would find and sort the
    events of years to answer with one.
    """
    events = Event.objects.annotate(
        of_shop=Coalesce("shop_id", 0), of_kind=Coalesce("kind", Value(""))
    )
    return events.filter(of_shop__in=shops, of_kind__in=kinds)
