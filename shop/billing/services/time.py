"""Minutes worked. An entry is never edited, only reversed."""

from datetime import datetime, timedelta

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing.models import LabourKind, TimeEntry
from shop.billing.services import checks
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind

DAY_MINUTES = 24 * 60


@transaction.atomic
def time_record(
    *,
    ticket: Ticket,
    by: Person,
    person: Person,
    kind: str,
    minutes: int,
    started_at: datetime | None = None,
) -> TimeEntry:
    """Minutes of ``person`` on a ticket, from ``started_at`` on.

    Without it they ended just now, or began with the ticket if that is later.
    """
    if not 1 <= minutes <= DAY_MINUTES:
        raise Refused(
            _("Between 1 and %(day)s minutes.") % {"day": DAY_MINUTES}, field="minutes"
        )
    if kind not in LabourKind:
        raise Refused(_("Say what kind of work it was."), field="kind")
    ticket = checks.ticket_locked(ticket)
    if started_at is None:
        ended_now = timezone.now() - timedelta(minutes=minutes)
        started_at = max(ticket.opened_at, ended_now)
    if started_at < ticket.opened_at:
        raise Refused(_("The ticket was not open yet."), field="started_at")
    entry = TimeEntry.objects.create(
        ticket=ticket, person=person, kind=kind, minutes=minutes, started_at=started_at
    )
    _write_down(entry, by)
    return entry


@transaction.atomic
def time_reverse(*, entry: TimeEntry, by: Person) -> TimeEntry:
    """Take an entry back, once."""
    ticket = checks.ticket_locked(entry.ticket)
    if entry.reverses_id or TimeEntry.objects.filter(reverses=entry).exists():
        raise Refused(_("These minutes were taken back already."))
    back = TimeEntry.objects.create(
        ticket=ticket,
        person=entry.person,
        kind=entry.kind,
        minutes=-entry.minutes,
        started_at=entry.started_at,
        reverses=entry,
    )
    _write_down(back, by)
    return back


def _write_down(entry: TimeEntry, by: Person) -> None:
    records.event_record(
        Kind.TIME_RECORDED,
        shop_id=entry.ticket.shop_id,
        by_id=by.pk,
        at=None if entry.reverses_id else entry.started_at,
        ticket_id=entry.ticket_id,
        person_id=entry.person_id,
        ids={"time_entry": entry.pk},
        codes={"kind": entry.kind},
        amounts={"minutes": entry.minutes},
    )
