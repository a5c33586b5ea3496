"""A customer's devices, and what is put right of them."""

from collections.abc import Mapping
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.intake.machine_age import EARLIEST, may_be
from shop.intake.models import Customer, Device, Ticket
from shop.intake.services.rows import keep, still_open, tell
from shop.people.models import Person, Shop
from shop.records.errors import Refused, StaleEdit
from shop.records.kinds import Kind
from shop.records.models import Event

PUT_RIGHT = ("kind", "model", "serial", "board_number_seen", "year_made")


def device_keep(
    *,
    customer: Customer,
    by: Person,
    kind: str,
    model: str,
    serial: str = "",
    board_number_seen: str = "",
    contact: str = "",
    year_made: int | None = None,
) -> Device:
    year_check(customer.shop, year_made)
    device = Device(
        shop_id=customer.shop_id,
        customer=customer,
        kind=kind,
        model=model.strip(),
        serial=serial.strip(),
        board_number_seen=board_number_seen.strip(),
        contact=contact.strip(),
        year_made=year_made,
    )
    return keep(device)


def device_brought(customer: Customer, by: Person, what: Mapping[str, Any]) -> Device:
    """The device with this serial number, as it is known by now, else a new one."""
    serial, model = what.get("serial", "").strip(), what["model"].strip()
    known = customer.devices.filter(serial__iexact=serial, model__iexact=model)
    device = known.exclude(serial="").last()
    if device is None:
        return device_keep(customer=customer, by=by, **what)
    told = {
        "contact": what.get("contact", "").strip(),
        "year_made": what.get("year_made"),
    }
    return device_learn(device, told)


def device_learn(device: Device, told: Mapping[str, Any]) -> Device:
    """Keep what was told of it; what nobody said now is not unsaid."""
    new = {k: v for k, v in told.items() if v and v != getattr(device, k)}
    year_check(device.shop, new.get("year_made"))
    for name, value in new.items():
        setattr(device, name, value)
    return keep(device, update_fields=list(new)) if new else device


@transaction.atomic
def device_change(
    *, ticket: Ticket, by: Person, version: int, **facts: Any
) -> Event | None:
    """Put the named facts right; refused when somebody saved after ``version``."""
    still_open(ticket)
    if ticket.erased_at is not None:
        raise Refused(_("What was personal here is erased: no more words are kept."))
    row = Device.objects.select_for_update().get(pk=ticket.device_id)
    mine = {name: _plain(facts[name]) for name in PUT_RIGHT if name in facts}
    theirs = {name: getattr(row, name) for name in mine}
    if mine == theirs:
        return None
    if row.version != version:
        raise StaleEdit(mine=mine, theirs=theirs)
    year_check(row.shop, mine.get("year_made"))
    for name, value in mine.items():
        setattr(row, name, value)
    row.version += 1
    keep(row, update_fields=[*mine, "version"])
    changed = [name for name in mine if mine[name] != theirs[name]]
    now = timezone.now()
    return tell(Kind.DEVICE_CHANGED, ticket, by, now, codes={"facts": changed})


def _plain(value: Any) -> Any:
    return value.strip() if isinstance(value, str) else value


def year_check(shop: Shop, year: int | None) -> None:
    today = timezone.now().astimezone(shop.zone).date()
    if year is not None and not may_be(year, today):
        span = {"first": EARLIEST, "last": today.year}
        text = _("A year from %(first)d to %(last)d.") % span
        raise Refused(text, field="year_made")
