"""The page of the proof of repair, and its acts: traffic only."""

from collections.abc import Callable

from django import forms
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from diagnostics import papers, proof_page, proof_photos, services, tablets
from diagnostics.doing import done
from diagnostics.models import MachineRun
from diagnostics.proof_forms import (
    EndForm,
    HappenedForm,
    LevelForm,
    PhotosForm,
    ProofForm,
    RunForm,
    TicksForm,
)
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.intake.pages import paper
from shop.intake.place import at_ticket
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.records.idempotency import once


def answer(
    request: AtWork,
    ticket: Ticket,
    form: forms.Form,
    act: Callable[[], object],
    *,
    at: str = "",
) -> HttpResponse:
    """Do an act of the page and go back to its place, or say what was refused."""
    if form.is_valid() and done(form, act):
        page = reverse("diagnostics:proof", args=[ticket.number])
        return redirect(f"{page}#{at}" if at else page)
    return show(request, ticket, form, at)


def show(
    request: AtWork, ticket: Ticket, form: forms.Form | None = None, at: str = ""
) -> HttpResponse:
    page = proof_page.page(ticket, request.user, timezone.now())
    context = {"ticket": ticket, "proof": page, "form": form or ProofForm()}
    context["refused_at"] = at if form is not None else ""
    status = 422 if form is not None else 200
    return render(request, "diagnostics/proof.html", context, status=status)


@roles(TECHNICIAN)
@require_http_methods(["GET", "POST"])
@tablets.as_done
@at_ticket
@once
def proof(request: AtWork, ticket: Ticket) -> HttpResponse:
    """The page; one item in one word: tapped, waived, not fitted, taken back."""
    if request.method != "POST":
        return show(request, ticket)
    form = ProofForm(request.POST)
    return answer(
        request,
        ticket,
        form,
        lambda: services.proof_item_record(
            ticket=ticket, by=request.user, at=tablets.moment(), **form.cleaned_data
        ),
        at=request.POST.get("item", "")[:40],
    )


@roles(TECHNICIAN)
@require_POST
@tablets.as_done
@at_ticket
@once
def proof_ticks(request: AtWork, ticket: Ticket) -> HttpResponse:
    form = TicksForm(request.POST)
    return answer(
        request,
        ticket,
        form,
        lambda: services.proof_ticks_record(
            ticket=ticket,
            by=request.user,
            at=tablets.moment(),
            item=form.cleaned_data["item"],
            ticks=form.ticks(),
            words=form.cleaned_data["words"],
        ),
        at=request.POST.get("item", "")[:40],
    )


@roles(TECHNICIAN)
@require_POST
@tablets.as_done
@at_ticket
@once
def proof_run_start(request: AtWork, ticket: Ticket) -> HttpResponse:
    form = RunForm(request.POST)
    return answer(
        request,
        ticket,
        form,
        lambda: services.proof_run_start(
            ticket=ticket, by=request.user, at=tablets.moment(), **form.cleaned_data
        ),
        at=request.POST.get("item", "")[:40],
    )


@roles(TECHNICIAN)
@require_POST
@tablets.as_done
@at_ticket
@once
def proof_run_answer(
    request: AtWork, ticket: Ticket, machine_run_id: int
) -> HttpResponse:
    run = get_object_or_404(MachineRun, pk=machine_run_id, ticket=ticket)
    form = HappenedForm(request.POST)
    return answer(
        request,
        ticket,
        form,
        lambda: services.proof_run_answer(
            run=run, by=request.user, at=tablets.moment(), **form.cleaned_data
        ),
        at=run.kind,
    )


@roles(TECHNICIAN)
@require_POST
@tablets.as_done
@at_ticket
@once
def proof_level(request: AtWork, ticket: Ticket) -> HttpResponse:
    form = LevelForm(request.POST)
    return answer(
        request,
        ticket,
        form,
        lambda: services.proof_level_choose(
            ticket=ticket, by=request.user, at=tablets.moment(), **form.cleaned_data
        ),
        at="level",
    )


@roles(TECHNICIAN)
@require_POST
@tablets.as_done
@at_ticket
@once
def proof_photos_choose(request: AtWork, ticket: Ticket) -> HttpResponse:
    ids = [photo.pk for photo in proof_photos.fit_for_sheet(ticket)]
    form = PhotosForm(request.POST, ids=ids)
    return answer(
        request,
        ticket,
        form,
        lambda: services.proof_photos_choose(
            ticket=ticket,
            by=request.user,
            at=tablets.moment(),
            photo_ids=form.cleaned_data["photos"],
        ),
        at="photos",
    )


@roles(TECHNICIAN)
@require_POST
@tablets.as_done
@at_ticket
@once
def proof_end(request: AtWork, ticket: Ticket) -> HttpResponse:
    """Fixed, where nothing is missing; else improved, not proven."""
    form = EndForm(request.POST)
    return answer(
        request,
        ticket,
        form,
        lambda: intake.outcome_record(
            ticket=ticket, by=request.user, at=tablets.moment(), **form.cleaned_data
        ),
        at="end",
    )


@roles(TECHNICIAN, FRONT_DESK, OWNER)
@require_GET
@at_ticket
def proof_sheet(request: AtWork, ticket: Ticket) -> HttpResponse:
    return paper(papers.proof_sheet(ticket), f"proof-sheet-{ticket.number}")
