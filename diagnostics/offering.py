"""The families that a new board model may be of, as of a moment: read and set."""

from collections.abc import Collection
from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from diagnostics import bridge
from diagnostics.models import FamilyOffer
from shop.people import house_services as house
from shop.people.models import Person, Shop
from shop.records.changes import Value, before_after
from shop.records.errors import Refused


def offered_at(shop: Shop, at: datetime) -> tuple[str, ...]:
    """In the order in which families are shown."""
    said = dict(
        shop.family_offers.filter(valid_from__lte=at)
        .order_by("valid_from", "id")
        .values_list("family", "is_offered")
    )
    return tuple(one for one in bridge.family_ids() if said.get(one, True))


@transaction.atomic
def offers_set(
    *,
    shop: Shop,
    by: Person,
    families: Collection[str],
    at: datetime | None = None,
) -> list[FamilyOffer]:
    """These and no others from ``at`` on (now); a row for each that changes."""
    known, now = bridge.family_ids(), timezone.now()
    begins = at or now
    if begins < now:
        raise Refused(_("It begins today or later."), field="valid_from")
    if not set(families) & set(known):
        raise Refused(_("At least one family is offered."), field="families")
    Shop.objects.select_for_update().get(pk=shop.pk)
    stood = offered_at(shop, begins)
    before: dict[str, Value] = {one: one in stood for one in known}
    after: dict[str, Value] = {one: one in families for one in known}
    rows = FamilyOffer.objects.bulk_create(
        FamilyOffer(
            shop=shop,
            family=one,
            is_offered=one in families,
            valid_from=begins,
            by=by,
            set_at=now,
        )
        for one in known
        if before[one] != after[one]
    )
    if rows:
        told = {"valid_from": begins.isoformat()} | before_after(before, after)
        house.changed(shop, by, "families", told)
    return rows
