"""What comes: a scan names the ticket and the place; what is wrong becomes a claim."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_GET, require_http_methods

from shop.billing import services
from shop.billing.models import OrderLine
from shop.billing.shelf import arriving
from shop.billing.shelf.forms import ClaimEndForm, ReceiveForm, WrongForm
from shop.billing.shelf.pages import form_page, line_here
from shop.billing.shelf.receiving import Received
from shop.billing.shelf_models import Claim, LotDraw, StockLot
from shop.intake.forms_shown import done, typed
from shop.intake.models import Ticket
from shop.intake.place import at_ticket
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.records.idempotency import once


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
def receive(request: AtWork) -> HttpResponse:
    """Scan or type what came; one order of this code is shown at once."""
    asked = request.GET.get("code", "").strip()[:100]
    lines = arriving.meant(request.shop, asked)
    if len(lines) == 1:
        return redirect("billing:receive_line", lines[0].pk)
    known = None
    if asked and not lines:
        known = request.shop.stock_items.filter(barcode=asked).first()
    context = {
        "asked": asked,
        "lines": lines if asked else arriving.awaited(request.shop)[:60],
        "known": known,
        "came": arriving.came(request.shop, request.GET.get("came", "")),
        "today": timezone.localdate(timezone=request.shop.zone),
    }
    return render(request, "billing/shelf/receive.html", context)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
def receive_line(request: AtWork, line_id: int) -> HttpResponse:
    """It is here: how many, at what cost, and where they are put."""
    line = line_here(request, line_id)
    place = line.item.place if line.item else None
    form = ReceiveForm(
        typed(request),
        shop=request.shop,
        currency=line.currency,
        initial={
            "quantity": line.awaited,
            "cost": line.price,
            "place": place.name if place else "",
        },
    )
    came = list[Received]()

    def act() -> None:
        came.append(
            services.order_receive(
                order_line=line, by=request.user, **form.cleaned_data
            )
        )

    if done(form, act):
        then = urlencode({"came": came[0].move.pk})
        return redirect(f"{reverse('billing:receive')}?{then}")
    status = 422 if form.is_bound else 200
    context = {"line": line, "form": form}
    return render(request, "billing/shelf/receive_line.html", context, status=status)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
def receive_wrong(request: AtWork, line_id: int) -> HttpResponse:
    """What came is not what was ordered, or is dead."""
    line = line_here(request, line_id)
    form = wrong_form(request, line, line.awaited)

    def act() -> object:
        asked = dict(form.cleaned_data)
        asked.pop("supplier")
        return services.claim_at_arrival(order_line=line, by=request.user, **asked)

    return form_page(
        request,
        form,
        _("Wrong or dead: %(part)s") % {"part": line.name},
        act,
        then=reverse("billing:receive"),
        button=gettext_lazy("Open a claim"),
    )


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@once
def lot_wrong(request: AtWork, lot_id: int) -> HttpResponse:
    """Pieces on the shelf proved dead or wrong: they go back."""
    lots = StockLot.objects.filter(item__shop=request.shop, is_salvaged=False)
    lot = get_object_or_404(
        lots.select_related("item__shop", "came_by__order_line__ticket"), pk=lot_id
    )
    form = wrong_form(request, lot.came_by.order_line, 1, lot.item.supplier)
    return form_page(
        request,
        form,
        _("Wrong or dead: %(part)s") % {"part": lot.item.name},
        lambda: services.claim_from_shelf(
            lot=lot, by=request.user, **form.cleaned_data
        ),
        then=lot.item.get_absolute_url(),
        button=gettext_lazy("Open a claim"),
    )


@roles(TECHNICIAN, OWNER)
@require_http_methods(["GET", "POST"])
@at_ticket
@once
def use_wrong(request: AtWork, ticket: Ticket, use_id: int) -> HttpResponse:
    """A part that went into the board proved dead: out of it, and back."""
    use = get_object_or_404(ticket.part_uses.filter(move__isnull=False), pk=use_id)
    draws = LotDraw.objects.filter(move=use.move).select_related(
        "lot__came_by__order_line", "lot__item"
    )
    lot = draws.latest("id").lot
    form = wrong_form(request, lot.came_by.order_line, 1, lot.item.supplier)
    form.fields["kind"].initial = Claim.Kind.DEAD
    return form_page(
        request,
        form,
        _("Wrong or dead: %(part)s") % {"part": use.name},
        lambda: services.claim_of_use(use=use, by=request.user, **form.cleaned_data),
        then=reverse("billing:work", args=[ticket.number]),
        button=gettext_lazy("Open a claim"),
    )


def wrong_form(
    request: AtWork, line: OrderLine | None, quantity: int, supplier: str = ""
) -> WrongForm:
    initial = {
        "quantity": quantity,
        "supplier": line.supplier if line else supplier,
        "is_replaced": "yes",
    }
    form = WrongForm(typed(request), initial=initial)
    if line is not None:
        form.fields["supplier"].disabled = True
    return form


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
def claims(request: AtWork) -> HttpResponse:
    """What suppliers still have to make good."""
    context = {
        "claims": arriving.open_claims(request.shop),
        "may_end": bool(request.held_roles & {FRONT_DESK, OWNER}),
        "settled": request.shop.claims.filter(end__isnull=False)
        .select_related("end", "ticket")
        .order_by("-end__id")[:20],
    }
    return render(request, "billing/shelf/claims.html", context)


@roles(FRONT_DESK, OWNER)
@require_http_methods(["GET", "POST"])
@once
def claim_end(request: AtWork, claim_id: int) -> HttpResponse:
    """Credited, replaced, or refused."""
    claim = get_object_or_404(request.shop.claims, pk=claim_id)
    form = ClaimEndForm(
        typed(request), currency=claim.currency, initial={"how": "credited"}
    )
    return form_page(
        request,
        form,
        _("Claim to %(supplier)s: %(part)s")
        % {"supplier": claim.supplier, "part": claim.name},
        lambda: services.claim_end(claim=claim, by=request.user, **form.cleaned_data),
        then=reverse("billing:claims"),
        button=gettext_lazy("Settle it"),
    )
