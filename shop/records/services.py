"""Acts that write the house's records."""

import unicodedata
from collections.abc import Callable, Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.records import clock
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event, Lease, Note, NumberSeries, OutgoingMessage

LONG_AGO = datetime(1970, 1, 1, tzinfo=UTC)
ON_ONE_LINE = "A message id and a channel are ours, and on one line."
Listener = Callable[[Event], None]
LISTENERS: dict[Kind, list[Listener]] = {}


def when(kind: Kind, act: Listener) -> None:
    """A later room keeps something of its own at an event, in its transaction."""
    LISTENERS.setdefault(kind, []).append(act)


def note_keep(
    *,
    shop_id: int,
    kind: str,
    text: str,
    by_id: int | None,
    ticket_id: int | None = None,
    at: datetime | None = None,
) -> Note:
    return Note.objects.create(
        shop_id=shop_id,
        ticket_id=ticket_id,
        kind=kind,
        text=text,
        by_id=by_id,
        at=at or timezone.now(),
    )


def event_record(
    kind: Kind,
    *,
    shop_id: int,
    by_id: int | None,
    at: datetime | None = None,
    ticket_id: int | None = None,
    board_id: int | None = None,
    reading_id: int | None = None,
    person_id: int | None = None,
    ids: Mapping[str, int | str] | None = None,
    codes: Mapping[str, str | int | bool | None] | None = None,
    amounts: Mapping[str, int | str] | None = None,
    note: Note | None = None,
) -> Event:
    """Write one event. ``at`` is when it happened, by default now."""
    event = Event.objects.create(
        shop_id=shop_id,
        kind=kind.value,
        ticket_id=ticket_id,
        board_id=board_id,
        reading_id=reading_id,
        person_id=person_id,
        by_id=by_id,
        at=at or timezone.now(),
        ids=dict(ids or {}),
        codes=dict(codes or {}),
        amounts=dict(amounts or {}),
        note=note,
    )
    for listener in LISTENERS.get(kind, ()):
        listener(event)
    return event


def number_take(*, shop_id: int, kind: str) -> int:
    """The next number of a series, gapless: a rolled back act gives it back.

    Call it inside the transaction that uses the number.
    """
    if not transaction.get_connection().in_atomic_block:
        raise RuntimeError("A number is taken inside the act that uses it.")
    NumberSeries.objects.get_or_create(shop_id=shop_id, kind=kind)
    series = NumberSeries.objects.select_for_update().get(shop_id=shop_id, kind=kind)
    number = series.next_number
    series.next_number = number + 1
    series.save(update_fields=["next_number"])
    return number


@transaction.atomic
def series_start(*, shop_id: int, kind: str, first: int) -> None:
    """Go on with an old series. Refused where it would go back."""
    NumberSeries.objects.get_or_create(shop_id=shop_id, kind=kind)
    series = NumberSeries.objects.select_for_update().get(shop_id=shop_id, kind=kind)
    if first < series.next_number:
        raise ValueError("A number series never goes back.")
    series.next_number = first
    series.save(update_fields=["next_number"])


def has_control(text: str) -> bool:
    """Line breaks and controls, those of Unicode too (categories Cc, Zl, Zp)."""
    return any(unicodedata.category(sign) in {"Cc", "Zl", "Zp"} for sign in text)


def message_queue(
    *,
    shop_id: int,
    ticket_id: int | None,
    message_id: str,
    channel: str,
    to: str,
    subject: str,
    text: str,
) -> OutgoingMessage:
    """Queue a message; it goes out only if the surrounding act is kept.

    Refused where a header of it holds a line break or another control character:
    it would become a header of its own.
    """
    for field, header in (("to", to), ("subject", subject)):
        if has_control(header):
            raise Refused(_("Line breaks don't belong here."), field=field)
    if has_control(channel):
        raise ValueError(ON_ONE_LINE)
    return _queued(
        message_id,
        shop_id=shop_id,
        ticket_id=ticket_id,
        channel=channel,
        to=to,
        subject=subject,
        text=text,
    )


def message_ask(
    *,
    shop_id: int,
    ticket_id: int | None,
    message_id: str,
    kind: str,
    customer_id: int | None = None,
    about_event_id: int | None = None,
    not_before: datetime | None = None,
    paper: str = "",
) -> OutgoingMessage:
    """Queue a message that is worded when its turn comes: once for each id."""
    later = {} if not_before is None else {"next_try_at": not_before}
    return _queued(
        message_id,
        shop_id=shop_id,
        ticket_id=ticket_id,
        kind=kind,
        customer_id=customer_id,
        about_event_id=about_event_id,
        paper=paper,
        **later,
    )


def _queued(message_id: str, **columns: Any) -> OutgoingMessage:
    if has_control(message_id):
        raise ValueError(ON_ONE_LINE)
    message, _is_new = OutgoingMessage.objects.get_or_create(
        message_id=message_id, defaults=columns
    )
    return message


@transaction.atomic
def lease_take(
    *, name: str, holder: str, seconds: float, now: datetime | None = None
) -> bool:
    """Take or renew a lease; False while somebody else holds it.

    By default ``now`` is the database's, read once the row is ours: the clocks
    of the machines that want it don't matter.
    """
    Lease.objects.get_or_create(name=name, defaults={"holder": "", "until": LONG_AGO})
    lease = Lease.objects.select_for_update().get(name=name)
    now = now or clock.database_now()
    if lease.holder != holder and lease.until > now:
        return False
    lease.holder = holder
    lease.until = now + timedelta(seconds=seconds)
    lease.save(update_fields=["holder", "until"])
    return True


def lease_give_up(*, name: str, holder: str) -> None:
    """Let another take it at once, if it is still ours."""
    Lease.objects.filter(name=name, holder=holder).update(until=LONG_AGO)


def lease_holder(name: str) -> str | None:
    """Who holds a lease now, by the database's clock."""
    held = Lease.objects.filter(name=name, until__gt=clock.database_now())
    return held.values_list("holder", flat=True).first()
