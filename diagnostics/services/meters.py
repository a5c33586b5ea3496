"""The shop's meters: kept, and changed by keeping a new row of the same name."""

from collections.abc import Sequence
from dataclasses import asdict
from datetime import date, datetime
from hashlib import sha256

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from diagnostics.engine.meters import MeterRange
from diagnostics.models import Meter
from shop.people.models import Person, Shop
from shop.records import services as records
from shop.records.changes import Value, before_after
from shop.records.errors import Refused
from shop.records.kinds import Kind


@transaction.atomic
def meter_keep(
    *,
    shop: Shop,
    by: Person,
    name: str,
    ranges: Sequence[MeterRange],
    diode_amps: float = 0.001,
    diode_volts: float = 3.0,
    calibration_due: date | None = None,
    replaces: Meter | None = None,
    at: datetime | None = None,
) -> Meter:
    """Keep a meter; one that ``replaces`` another retires it.

    Readings stay with the row that they were taken with, so that neither new
    figures nor a calibration change what they meant.
    """
    at, name = at or timezone.now(), name.strip()
    if replaces is not None:
        _retire(replaces, at)
    if shop.meters.filter(name__iexact=name, retired_at=None).exists():
        raise Refused(_("A meter of this name is there already."), field="name")
    meter = Meter.objects.create(
        shop=shop,
        name=name,
        ranges=[asdict(one) for one in ranges],
        diode_amps=diode_amps,
        diode_volts=diode_volts,
        calibration_due=calibration_due,
        since=at,
    )
    ids = {"meter": meter.pk} | ({"replaces": replaces.pk} if replaces else {})
    records.event_record(
        Kind.METER_KEPT,
        shop_id=shop.pk,
        by_id=by.pk,
        at=at,
        ids=ids,
        codes=before_after(_told(replaces), _told(meter)) if replaces else {},
    )
    return meter


def _told(meter: Meter) -> dict[str, Value]:
    """Its figures; of its ranges, which are many, how many there are."""
    due = meter.calibration_due
    return {
        "calibration_due": due.isoformat() if due else None,
        "diode_amps": str(meter.diode_amps),
        "diode_volts": str(meter.diode_volts),
        "ranges": len(meter.ranges),
        "accuracy": sha256(repr(meter.ranges).encode()).hexdigest()[:8],
    }


def _retire(meter: Meter, at: datetime) -> None:
    """Only the newest row of a meter can be changed: two people may be at it."""
    retired = Meter.objects.filter(pk=meter.pk, retired_at=None).update(retired_at=at)
    if not retired:
        raise Refused(_("Somebody changed this meter meanwhile. Look at it again."))
