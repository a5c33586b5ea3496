"""The station's printers, a test, and what to do with a paper that waits."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
)

from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.printing import panels, services, sheets, spooler
from shop.printing.forms import PrintersForm
from shop.printing.makers import MAKERS
from shop.printing.models import Paper, PrintJob
from shop.printing.services import Order
from shop.records.errors import Refused
from shop.records.idempotency import once


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
def station(request: AtWork) -> HttpResponse:
    """What this computer prints on."""
    chosen = services.printers_of(request.station)
    known, why_none = _known_printers()
    typed = request.POST if request.method == "POST" else None
    form = PrintersForm(typed, printers=known, chosen=chosen)
    if request.station and form.is_bound and form.is_valid():
        try:
            services.printers_set(
                station=request.station,
                by=request.user,
                chosen=form.cleaned_data,
                known=known,
            )
        except Refused as refused:
            form.add_error(refused.field, str(refused))
        else:
            messages.success(request, _("Kept."))
            return redirect("printing:station")
    context = {"form": form, "rows": _rows(form, chosen), "why_none": why_none}
    context |= {"printers": known, "station": request.station}
    status = 422 if form.is_bound else 200
    return render(request, "printing/station.html", context, status=status)


def _known_printers() -> tuple[tuple[str, ...], str]:
    try:
        return spooler.printers(), ""
    except spooler.CantPrint as error:
        return (), str(error)


def _rows(form: PrintersForm, chosen: dict[str, str]) -> list[dict[str, Any]]:
    return [
        {"field": form[p.value], "paper": p, "printer": chosen.get(p, "")}
        for p in Paper
    ]


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
def test(request: AtWork) -> HttpResponse:
    """A sheet with its size on it: queued at the printer, or shown to be printed."""
    asked = request.POST if request.method == "POST" else request.GET
    paper = asked.get("paper", Paper.SLIP)
    if paper not in Paper.values:
        return HttpResponse(_("There is no such paper."), status=422)
    order = Order(sheets.WHAT[paper], request.shop.pk)
    if request.method == "GET":
        made = MAKERS[order.what].make(order.subject_id, 0)
        return _pdf(made.body, f"test-{paper}")
    if services.print_ask(station=request.station, by=request.user, orders=[order]):
        messages.success(request, _("The test sheet is on its way to the printer."))
        return redirect("printing:station")
    response = redirect("printing:test")
    response["Location"] += f"?paper={paper}"
    return response


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
def waiting(request: AtWork, ticket_id: int) -> HttpResponse:
    """For htmx: what of a ticket still waits for a printer."""
    if not request.shop.print_jobs.filter(ticket_id=ticket_id).exists():
        raise Http404
    ticket = panels.Named(ticket_id, _digits(request.GET.get("number", "")))
    return HttpResponse(panels.panel(ticket, request))


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
def job_pdf(request: AtWork, job_id: int) -> HttpResponse:
    job = _job(request, job_id)
    made = MAKERS[job.what].make(job.subject_id, job.part)
    return _pdf(made.body, f"{job.what}-{job.pk}")


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_POST
@once
def again(request: AtWork, job_id: int) -> HttpResponse:
    services.print_again(job=_job(request, job_id))
    return _back(request)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_POST
@once
def here(request: AtWork, job_id: int) -> HttpResponse:
    """Print it by the browser instead."""
    services.print_withdraw(job=_job(request, job_id))
    return redirect("printing:job_pdf", job_id)


def _job(request: AtWork, job_id: int) -> PrintJob:
    return get_object_or_404(PrintJob, pk=job_id, shop=request.shop)


def _back(request: AtWork) -> HttpResponse:
    """To the ticket's page that the button stood on."""
    number = _digits(request.POST.get("ticket", ""))
    return redirect("desk:ticket", number) if number else redirect("printing:station")


def _digits(text: str) -> str:
    return text if text.isascii() and text.isdigit() else ""


def _pdf(body: bytes, name: str) -> HttpResponse:
    response = HttpResponse(body, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return response
