"""What is due to go: photos kept long enough, files left by a fault.

The job process does it once a day.
"""

from datetime import datetime, timedelta

from django.core.files.storage import default_storage
from django.utils import timezone

from shop.intake.models import Ticket
from shop.people.models import Shop
from shop.photos import files
from shop.photos.models import Photo
from shop.photos.services import days_kept, files_away, ticket_swept

# A file whose row is still being written is younger than this.
SURELY_DONE = timedelta(days=1)


def job() -> None:
    sweep()


def sweep(now: datetime | None = None) -> int:
    """Everything that is due; returns how many photos were erased. Safe to repeat."""
    now = now or timezone.now()
    count = sum(ticket_swept(ticket, now) for ticket in due(now))
    files_away(list(Photo.objects.filter(files_gone_at=None).exclude(erased_at=None)))
    orphans_away(now)
    return count


def due(now: datetime) -> list[Ticket]:
    """Tickets that were handed over long ago and still have photos."""
    return [
        ticket
        for shop in Shop.objects.all()
        for ticket in Ticket.objects.filter(
            shop=shop,
            handover__at__lt=now - timedelta(days=days_kept(shop)),
            photos__erased_at=None,
            photos__isnull=False,
        ).distinct()
    ]


def orphans_away(now: datetime) -> None:
    """Files without a row: of a process that was killed between the two."""
    for name in files.older_than(now - SURELY_DONE):
        stem = name.rpartition("/")[2].partition(".")[0]
        if not Photo.objects.filter(name=stem, erased_at=None).exists():
            default_storage.delete(name)
