"""What a database that was put back needs before anybody works with it.

It runs within the installation that lies aside, in a process of its own. Sessions and
links of before end; what waited to be sent is left to a person, since it may have gone
out after the backup was made; the rooms do their part (``records.restored``), such as
erasing again who was erased since; and an event says what was done.
"""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

from allauth.mfa.models import Authenticator
from django.contrib.sessions.models import Session
from django.core.management import call_command
from django.db import connection, transaction
from django.db.models import F
from django.utils import timezone

from shop.keeping import contents
from shop.people.models import Person, Pin, Shop
from shop.records import restored, spread
from shop.records import services as records
from shop.records.kinds import Kind
from shop.records.models import Lease, NumberSeries, OutgoingMessage
from shop.records.restored import Restored

MAY_HAVE_GONE = "restored"
Counts = dict[str, int]


class NotTheSame(Exception):
    """A table has other rows than the backup's manifest says."""


@dataclass(frozen=True)
class Asked:
    """What the restore hands to the process that finishes it."""

    beside: str
    name: str
    made_at: str
    version: str
    has_keys: bool
    counts: dict[str, int]


def finish(asked: Asked) -> dict[str, Any]:
    """Bring the database up to this version and make it ready; what was done."""
    refuse_other_rows(asked.counts)
    call_command("migrate", verbosity=0, without_backup=True)
    about = Restored(
        Path(asked.beside), datetime.fromisoformat(asked.made_at), asked.has_keys
    )
    with transaction.atomic():
        done = end_what_was() | _new_keys(about)
        done |= {name: act(about) for name, act in restored.ACTS.items()}
        series = _series()
        for shop in Shop.objects.order_by("pk"):
            _tell(shop, asked, done)
    spread.look()
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")  # one file, to be moved
    return {"done": done, "series": series}


def refuse_other_rows(counts: Counts) -> None:
    with connection.cursor() as cursor:
        for table, wanted in counts.items():
            name = connection.ops.quote_name(table)
            cursor.execute(f"SELECT count(*) FROM {name}")  # noqa: S608  a table's own name
            if cursor.fetchone()[0] != wanted:
                raise NotTheSame(table)


def end_what_was() -> Counts:
    """Sessions, leases, the shared counters; what waits for a sender."""
    now = timezone.now()
    sessions = Session.objects.all().delete()[0]
    Person.objects.update(session_epoch=F("session_epoch") + 1)
    Lease.objects.all().delete()
    waiting = OutgoingMessage.objects.filter(
        sent_at=None, given_up_at=None, next_try_at__lte=now
    )
    held = waiting.update(given_up_at=now, last_error=MAY_HAVE_GONE, begun_at=None)
    return {"sessions": sessions, "messages": held}


def _new_keys(about: Restored) -> Counts:
    """Factors and PINs that nothing opens any more go, so that people come in."""
    if about.has_keys:
        return {}
    sealed = [Authenticator.Type.TOTP, Authenticator.Type.RECOVERY_CODES]
    factors = Authenticator.objects.filter(type__in=sealed).delete()[0]
    return {"factors": factors, "pins": Pin.objects.all().delete()[0]}


def _series() -> dict[str, int]:
    """The last number of each series, to be held against papers made since."""
    rows = NumberSeries.objects.order_by("shop_id", "kind")
    return {row.kind: row.next_number - 1 for row in rows}


def _tell(shop: Shop, asked: Asked, done: Counts) -> None:
    records.event_record(
        Kind.SHOP_RESTORED,
        shop_id=shop.pk,
        by_id=None,
        codes={
            "made_at": asked.made_at,
            "backup": asked.name,
            "from": asked.version,
            "to": contents.version(),
            "has_keys": asked.has_keys,
        },
        amounts=dict(done),
    )
