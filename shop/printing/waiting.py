"""The job's act: give waiting papers to their printers, see which came out.

A paper is claimed, then handed over outside of any transaction, then its moment is
kept. A process that dies between the last two prints it twice, never not at all.
"""

from datetime import datetime, timedelta

from django.db.models import F
from django.utils import timezone

from shop.printing import spooler
from shop.printing.makers import MAKERS
from shop.printing.models import PrintJob

FIRST_WAIT = timedelta(seconds=5)
LONGEST_WAIT = timedelta(minutes=10)
# A tag of yesterday is no longer wanted of itself; a person may still ask again.
GIVEN_UP_AFTER = timedelta(hours=12)
MOST_AT_ONCE = 20


def job() -> None:
    print_waiting()


def print_waiting(now: datetime | None = None) -> int:
    """Try what is due; how many papers were handed to a printer."""
    now = now or timezone.now()
    open_jobs = PrintJob.objects.filter(printed_at=None, withdrawn_at=None)
    due = open_jobs.filter(
        handed_at=None, next_try_at__lte=now, asked_at__gte=now - GIVEN_UP_AFTER
    )
    handed = sum(_try(job, now) for job in due.order_by("id")[:MOST_AT_ONCE])
    _see_what_came_out(now)
    return handed


def _try(job: PrintJob, now: datetime) -> bool:
    wait = min(FIRST_WAIT * 3 ** min(job.tries, 8), LONGEST_WAIT)
    mine = PrintJob.objects.filter(pk=job.pk, tries=job.tries, handed_at=None)
    if not mine.update(tries=F("tries") + 1, next_try_at=now + wait):
        return False
    try:
        made = MAKERS[job.what].make(job.subject_id, job.part)
        title = f"{job.what}-{job.pk}"
        request = spooler.hand_over(
            made.body, printer=job.printer, title=title, media=made.media
        )
    except spooler.CantPrint as error:
        PrintJob.objects.filter(pk=job.pk).update(last_error=str(error)[:200])
        return False
    PrintJob.objects.filter(pk=job.pk).update(
        handed_at=timezone.now(), request=request, last_error=""
    )
    return True


def _see_what_came_out(now: datetime) -> None:
    """What the print system no longer lists as waiting has been printed."""
    handed = PrintJob.objects.filter(
        printed_at=None,
        withdrawn_at=None,
        handed_at__gte=now - GIVEN_UP_AFTER,
    )
    for printer in set(handed.values_list("printer", flat=True)):
        try:
            still = spooler.unprinted(printer)
        except spooler.CantPrint:
            continue
        came_out = handed.filter(printer=printer).exclude(request__in=still)
        came_out.update(printed_at=timezone.now())
