"""Acts: which printer a station has, what shall be printed, tried again or not."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.people.models import Person, Station
from shop.printing.makers import MAKERS
from shop.printing.models import Paper, PrintJob, StationPrinter
from shop.records import services as records
from shop.records.changes import Value, before_after
from shop.records.errors import Refused
from shop.records.kinds import Kind


@dataclass(frozen=True)
class Order:
    """What to print: a maker's paper of one row, or of a part of it."""

    what: str
    subject_id: int
    part: int = 0
    ticket_id: int | None = None


def printers_of(station: Station | None) -> dict[str, str]:
    """The printer of each paper; what is missing goes to the browser's dialog."""
    if station is None:
        return {}
    return dict(station.printers.values_list("paper", "printer"))


@transaction.atomic
def printers_set(
    *, station: Station, by: Person, chosen: Mapping[str, str], known: Sequence[str]
) -> None:
    """Keep the printer of each paper; empty: the browser's dialog."""
    before = printers_of(station)
    for paper in Paper.values:
        printer = chosen.get(paper, "")
        if printer and printer not in {*known, before.get(paper)}:
            raise Refused(_("There is no such printer."), field=paper)
        rows = StationPrinter.objects.filter(station=station, paper=paper)
        if not printer:
            rows.delete()
        elif not rows.update(printer=printer):
            rows.create(station=station, paper=paper, printer=printer)
    if changed := before_after(_told(before), _told(chosen)):
        records.event_record(
            Kind.PRINTERS_SET,
            shop_id=station.shop_id,
            by_id=by.pk,
            ids={"station": station.pk},
            codes=changed,
        )


def _told(printers: Mapping[str, str]) -> dict[str, Value]:
    return {f"printer_{paper}": printers.get(paper, "") for paper in Paper.values}


@transaction.atomic
def print_ask(*, station: Station | None, by: Person, orders: Sequence[Order]) -> bool:
    """Queue the papers for this station's printers; False: one has none."""
    printers = printers_of(station)
    papers = [MAKERS[order.what].paper.value for order in orders]
    if station is None or not set(papers) <= set(printers):
        return False
    PrintJob.objects.bulk_create(
        PrintJob(
            shop_id=station.shop_id,
            what=order.what,
            subject_id=order.subject_id,
            part=order.part,
            ticket_id=order.ticket_id,
            printer=printers[paper],
            asked_by=by,
        )
        for order, paper in zip(orders, papers, strict=True)
    )
    return True


def print_again(*, job: PrintJob) -> None:
    """Try now, from the beginning; a request that still waits is left alone."""
    waiting = PrintJob.objects.filter(pk=job.pk, printed_at=None, withdrawn_at=None)
    waiting.update(
        next_try_at=timezone.now(),
        asked_at=timezone.now(),
        tries=0,
        handed_at=None,
        request="",
        last_error="",
    )


def print_withdraw(*, job: PrintJob) -> None:
    """It is printed elsewhere: the printer is asked no more."""
    waiting = PrintJob.objects.filter(pk=job.pk, printed_at=None, withdrawn_at=None)
    waiting.update(withdrawn_at=timezone.now())
