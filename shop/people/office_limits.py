"""The limits of the office's lists, as of a moment: read and set."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.people.models import OfficeLimits, Person, Shop
from shop.records import services as records
from shop.records.changes import Value, before_after
from shop.records.errors import Refused
from shop.records.kinds import Kind

DAYS = ("untouched_days", "unanswered_days", "owed_days")
MOST_DAYS = 365


def limits_at(shop: Shop, at: datetime) -> OfficeLimits:
    """The limits in force; the defaults where none were ever set."""
    kept = shop.office_limits.filter(valid_from__lte=at).last()
    return kept or OfficeLimits(shop=shop, valid_from=at)


@transaction.atomic
def limits_set(
    *, shop: Shop, by: Person, at: datetime | None = None, **days: int
) -> OfficeLimits:
    """New limits from ``at`` on (now). What is not named stays as it will be then."""
    unknown = set(days) - set(DAYS)
    if unknown:
        raise TypeError(f"The office has no limits {', '.join(sorted(unknown))}.")
    for name, count in days.items():
        if not 1 <= count <= MOST_DAYS:
            raise Refused(
                _("From 1 to %(most)d days.") % {"most": MOST_DAYS}, field=name
            )
    now = timezone.now()
    begins = at or now
    if begins < now:
        raise Refused(_("Limits begin today or later."), field="valid_from")
    Shop.objects.select_for_update().get(pk=shop.pk)
    stood = limits_at(shop, begins)
    before: dict[str, Value] = {name: getattr(stood, name) for name in DAYS}
    after = {name: days.get(name, getattr(stood, name)) for name in DAYS}
    made = OfficeLimits.objects.create(
        shop=shop, valid_from=begins, by=by, set_at=now, **after
    )
    records.event_record(
        Kind.OFFICE_LIMITS_SET,
        shop_id=shop.pk,
        by_id=by.pk,
        ids={"office_limits": made.pk},
        codes={"valid_from": begins.isoformat()} | before_after(before, after),
    )
    return made
