"""The pages of the outage pack: print one, see what became of its numbers."""

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
)

from shop.intake import outage, outage_papers, printed, services
from shop.intake.forms_shown import typed
from shop.intake.outage_models import OutagePack, PaperSlip, VoidReason
from shop.intake.pages import paper
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.people.models import Role
from shop.printing.services import print_ask
from shop.records.errors import Refused
from shop.records.idempotency import once

MAY_TAKE_IN = {Role.FRONT_DESK, Role.OWNER}


class VoidForm(forms.Form):
    reason = forms.ChoiceField(
        label=gettext_lazy("Why"), choices=[("", "—"), *VoidReason.choices]
    )


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@once
def packs(request: AtWork) -> HttpResponse:
    """What was printed ahead and is left; print another pack."""
    refused = None
    if request.method == "POST":
        try:
            row = services.pack_print(shop=request.shop, by=request.user)
        except Refused as error:
            refused = error
        else:
            return redirect(_on_paper(request, row))
    context = {
        "packs": outage.packs_of(request.shop),
        "refused": refused,
        "slips_a_pack": services.SLIPS_A_PACK,
    }
    status = 422 if refused else 200
    return render(request, "intake/outage.html", context, status=status)


def _on_paper(request: AtWork, row: OutagePack) -> str:
    """Off to the station's printer; where it has none, the PDF opens."""
    orders = [printed.pack_order(row)]
    if print_ask(station=request.station, by=request.user, orders=orders):
        messages.success(request, _("The pack is on its way to the printer."))
        return row.get_absolute_url()
    return reverse("intake:outage_pdf", args=[row.pk])


def _pack(request: AtWork, pack_id: int) -> OutagePack:
    rows = OutagePack.objects.select_related("shop", "printed_by")
    return get_object_or_404(rows, pk=pack_id, shop=request.shop)


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@once
def pack(request: AtWork, pack_id: int) -> HttpResponse:
    """A pack's numbers; those that are ticked become void for a reason."""
    row = _pack(request, pack_id)
    form = VoidForm(typed(request))
    ticked = request.POST.getlist("slips")
    if form.is_bound and form.is_valid():
        try:
            n = services.paper_slips_void(
                pack=row,
                by=request.user,
                ticked=ticked,
                reason=form.cleaned_data["reason"],
            )
        except Refused as refused:
            form.add_error(None, str(refused))
        else:
            messages.success(request, _void_words(n))
            return redirect(row)
    context = {"pack": outage.pack_of(row), "form": form, "ticked": ticked}
    status = 422 if form.is_bound else 200
    return render(request, "intake/outage_pack.html", context, status=status)


def _void_words(n: int) -> str:
    return ngettext("%(n)d slip is void now.", "%(n)d slips are void now.", n) % {
        "n": n
    }


@roles(FRONT_DESK, OWNER)
@require_GET
def pack_pdf(request: AtWork, pack_id: int) -> HttpResponse:
    """The pack on paper: what is left of it, where it is printed again."""
    row = _pack(request, pack_id)
    if not outage.pack_of(row).left:
        messages.info(request, _("Nothing of this pack is left to print."))
        return redirect(row)
    return paper(outage_papers.pack_pdf(row), f"outage-pack-{row.pk}")


def _slip(request: AtWork, paper_number: str) -> PaperSlip:
    return get_object_or_404(outage.slips_of(request.shop), number=paper_number)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
def slip(request: AtWork, paper_number: str) -> HttpResponse:
    """Where a blank slip's number leads: its ticket, or the intake that types it in."""
    row = _slip(request, paper_number)
    if row.ticket is not None:
        said = _("Slip %(number)s was typed in already. This is its ticket.")
        messages.info(request, said % {"number": row})
        return redirect(row.ticket)
    if row.is_left and request.held_roles & MAY_TAKE_IN:
        page = reverse("intake:ticket_new")
        return redirect(f"{page}?{urlencode({'paper': row.number})}")
    context = {"slip": row, "may_restore": request.held_roles & MAY_TAKE_IN}
    return render(request, "intake/paper_slip.html", context)


@roles(FRONT_DESK, OWNER)
@require_POST
@once
def slip_restore(request: AtWork, paper_number: str) -> HttpResponse:
    """A void slip turned up with writing on it."""
    row = _slip(request, paper_number)
    services.paper_slip_restore(slip=row, by=request.user)
    return redirect(row)
