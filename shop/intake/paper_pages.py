"""Job slip and bag tags: shown as PDF, or queued at the station's printers."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from shop.intake import arriving, papers, printed, tags
from shop.intake.models import Ticket
from shop.intake.pages import paper
from shop.intake.place import at_ticket
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.people.models import Person, Station
from shop.printing.models import Paper
from shop.printing.services import print_ask, printers_of
from shop.records.idempotency import once


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
@at_ticket
def job_slip(request: AtWork, ticket: Ticket) -> HttpResponse:
    has_tags = request.GET.get("tags") != "no"
    body = papers.job_slip(ticket, has_tags=has_tags)
    return paper(body, f"job-slip-{ticket.number}")


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
@at_ticket
def tags_pdf(request: AtWork, ticket: Ticket) -> HttpResponse:
    return paper(tags.bag_tags(ticket).body, f"tags-{ticket.number}")


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
@at_ticket
def tag_pdf(request: AtWork, ticket: Ticket, tag: int) -> HttpResponse:
    thing = get_object_or_404(ticket.things, tag=tag)
    body = tags.bag_tags(ticket, only=thing.tag).body
    return paper(body, f"tag-{ticket.number}-{thing.tag}")


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_POST
@once
@at_ticket
def papers_print(request: AtWork, ticket: Ticket) -> HttpResponse:
    """``what``: the slip, all tags, or one tag by its number."""
    what = request.POST.get("what", "tags")
    is_slip = what == "slip"
    if is_slip:
        has_roll = Paper.TAG in printers_of(request.station)
        orders = [printed.slip_order(ticket, has_tags=not has_roll)]
    else:
        only = int(what) if what.isascii() and what.isdigit() else None
        orders = printed.tag_orders(ticket, only=only)
    if print_ask(station=request.station, by=request.user, orders=orders):
        return redirect(ticket)
    return redirect("intake:job_slip" if is_slip else "intake:tags", ticket.number)


def printed_at_intake(ticket: Ticket, station: Station | None, by: Person) -> str:
    """Queue slip and tags as far as this station has printers; where to go on.

    Several machines that came together have one slip, and a tag for each thing.

    What it has no printer for opens as PDF, in one piece.
    """
    has_slip, has_roll = (
        paper in printers_of(station) for paper in (Paper.SLIP, Paper.TAG)
    )
    group = arriving.group_of(ticket) if has_roll else []
    orders = [order for one in group for order in printed.tag_orders(one)]
    if has_slip:
        orders.append(printed.slip_order(ticket, has_tags=not has_roll))
    print_ask(station=station, by=by, orders=orders)
    if has_slip:
        return ticket.get_absolute_url()
    slip = reverse("intake:job_slip", args=[ticket.number])
    return f"{slip}?tags=no" if has_roll else slip
