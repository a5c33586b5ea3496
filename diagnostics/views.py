"""Pages and acts of the bench: traffic only."""

from collections.abc import Callable

from django import forms
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
)

from diagnostics import (
    bench_list,
    bench_page,
    board_choices,
    entering,
    queries,
    services,
    tablets,
)
from diagnostics.doing import done
from diagnostics.forms import (
    BoardForm,
    FindingForm,
    InterventionForm,
    NotFittedForm,
    OverruleForm,
    ReadingForm,
    ReferenceForm,
    StrikeForm,
)
from diagnostics.models import Board, BoardModel
from diagnostics.offering import offered_at
from diagnostics.page_state import state_of
from diagnostics.place import Place, at_board
from shop.intake.forms_acts import DataSafeForm
from shop.intake.models import Ticket
from shop.intake.place import at_ticket
from shop.people.access import TECHNICIAN, AtWork, roles
from shop.records.idempotency import once


@roles(TECHNICIAN)
@require_GET
def bench(request: AtWork) -> HttpResponse:
    """Six rows; all of them where the address asks for them."""
    is_all = bool(request.GET.get("all"))
    now = timezone.now()
    lists = bench_list.lists_of(request.shop, request.user, now, is_all=is_all)
    context = {"lists": lists, "is_all": is_all, "now": now}
    return render(request, "diagnostics/bench.html", context)


@roles(TECHNICIAN)
@require_http_methods(["GET", "POST"])
@at_ticket
@once
def board_join(request: AtWork, ticket: Ticket) -> HttpResponse:
    form = BoardForm(
        request.POST or None,
        offered=offered_at(request.shop, timezone.now()),
        initial={
            "number": ticket.device.board_number_seen,
            "name": ticket.device.model,
        },
    )
    if form.is_bound and form.is_valid():
        asked, joined = form.cleaned_data, list[Board]()
        if done(form, lambda: joined.append(joining(request, ticket, asked))):
            return redirect(Place(ticket, joined[0]).url())
    context = {"ticket": ticket, "form": form, **queries.joined(ticket)}
    return render(
        request,
        "diagnostics/board_join.html",
        context,
        status=422 if form.is_bound else 200,
    )


def joining(request: AtWork, ticket: Ticket, asked: dict[str, str]) -> Board:
    return services.board_join(
        ticket=ticket,
        by=request.user,
        board_model=model_of(request, asked),
        serial=asked["serial"],
        marking=asked["marking"],
    )


def model_of(request: AtWork, asked: dict[str, str]) -> BoardModel:
    """The board model of this number, made where it is new."""
    return services.board_model_keep(
        shop=request.shop,
        by=request.user,
        number=asked["number"],
        family=asked["family"],
        name=asked["name"],
        patches=board_choices.patches_of(asked["family"], asked),
    )


@roles(TECHNICIAN)
@require_http_methods(["GET", "POST"])
@once
def references(request: AtWork) -> HttpResponse:
    offered = offered_at(request.shop, timezone.now())
    form = ReferenceForm(request.POST or None, offered=offered)
    if form.is_bound and form.is_valid():
        asked, kept = form.cleaned_data, list[Board]()
        if done(form, lambda: kept.append(keeping(request, asked))):
            return redirect(Place(None, kept[0]).url())
    context = {
        "form": form,
        "boards": queries.reference_boards(request.shop),
        "models": request.shop.board_models.order_by("number"),
    }
    status = 422 if form.is_bound else 200
    return render(request, "diagnostics/references.html", context, status=status)


def keeping(request: AtWork, asked: dict[str, str]) -> Board:
    return services.reference_board_keep(
        board_model=model_of(request, asked),
        by=request.user,
        origin=asked["origin"],
        serial=asked["serial"],
        marking=asked["marking"],
    )


@roles(TECHNICIAN)
@require_GET
@at_board
def board(request: AtWork, place: Place) -> HttpResponse:
    return bench_page.show(request, place)


def answer(
    request: AtWork,
    place: Place,
    slot: str,
    form: forms.Form,
    act: Callable[..., object],
) -> HttpResponse:
    """Do an act of the bench page and go back there, or show what it refused."""
    if form.is_valid() and done(
        form,
        lambda: act(
            board=place.board,
            ticket=place.ticket,
            by=request.user,
            at=tablets.moment(),
            **form.cleaned_data,
        ),
    ):
        return redirect(place.url(**state_of(request)))
    return bench_page.show(request, place, refused={slot: form})


@roles(TECHNICIAN)
@require_POST
@at_board
@once
def reading_take(request: AtWork, place: Place) -> HttpResponse:
    form = ReadingForm(request.POST, shop=request.shop)
    taken: list[entering.Entered] = []
    if form.is_valid() and done(
        form,
        lambda: taken.append(entering.enter(request, place, form)),
        typed="typed",
    ):
        bench_page.remember_meter(request, taken[0].reading)
        if tablets.has_waited():  # nobody waits for its verdict any more
            return HttpResponse(status=204)
        offered = form.cleaned_data["offered"]
        return bench_page.after(request, place, taken[0], offered=offered)
    return bench_page.show(request, place, refused={"reading": form})


@roles(TECHNICIAN)
@require_POST
@at_board
@once
def reading_strike(request: AtWork, place: Place, reading_id: int) -> HttpResponse:
    reading = get_object_or_404(place.board.readings, pk=reading_id)
    form = StrikeForm(request.POST)
    if not form.is_valid():
        return bench_page.show(request, place, refused={"strike": form})
    services.reading_strike(
        reading=reading, by=request.user, at=tablets.moment(), **form.cleaned_data
    )
    return redirect(place.url(check=reading.check_id, point=reading.point_id))


@roles(TECHNICIAN)
@require_POST
@at_board
@once
def gate_overrule(request: AtWork, place: Place) -> HttpResponse:
    form = OverruleForm(request.POST)
    return answer(request, place, "overrule", form, services.gate_overrule)


@roles(TECHNICIAN)
@require_POST
@at_board
@once
def intervention(request: AtWork, place: Place) -> HttpResponse:
    form = InterventionForm(request.POST, known=queries.known_of(place.board))
    return answer(request, place, "intervention", form, services.intervention_do)


@roles(TECHNICIAN)
@require_POST
@at_board
@once
def data_safe(request: AtWork, place: Place) -> HttpResponse:
    form = DataSafeForm(request.POST)
    return answer(request, place, "data", form, services.data_safe_record)


@roles(TECHNICIAN)
@require_POST
@at_board
@once
def finding(request: AtWork, place: Place) -> HttpResponse:
    form = FindingForm(request.POST, known=queries.known_of(place.board))
    return answer(request, place, "finding", form, services.finding_confirm)


@roles(TECHNICIAN)
@require_POST
@at_board
@once
def not_fitted(request: AtWork, place: Place) -> HttpResponse:
    form = NotFittedForm(request.POST)
    return answer(request, place, "not_fitted", form, services.point_not_fitted)


@roles(TECHNICIAN)
@require_POST
@at_board
@once
def board_take(request: AtWork, place: Place) -> HttpResponse:
    return answer(request, place, "hand", forms.Form({}), services.board_take)


@roles(TECHNICIAN)
@require_POST
@at_board
@once
def board_put_down(request: AtWork, place: Place) -> HttpResponse:
    return answer(request, place, "hand", forms.Form({}), services.board_put_down)
