"""Pages and acts of the part tests: traffic only."""

from django import forms
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import (
    require_GET,
    require_http_methods,
    require_POST,
)

from diagnostics import controller_page, part_page, queries, services
from diagnostics.doing import done
from diagnostics.models import PartTest
from diagnostics.part_forms import BackForm, ChipStartForm, MosfetStartForm, StepForm
from diagnostics.place import Place, at_board
from shop.people.access import TECHNICIAN, AtWork, roles
from shop.records.idempotency import once


@roles(TECHNICIAN)
@require_http_methods(["GET", "POST"])
@at_board
@once
def part_test_new(request: AtWork, place: Place) -> HttpResponse:
    refused: dict[str, forms.Form] = {}
    if request.method == "POST":
        kind = "chip" if request.POST.get("kind") == "chip" else "mosfet"
        form = start_form(request, kind)
        begun: list[PartTest] = []
        if form.is_valid() and done(
            form, lambda: begun.append(begin(request, place, form))
        ):
            return redirect(part_page.act_url("part_test", place, begun[0]))
        refused = {kind: form}
    context = part_page.start(place, request.shop, request.GET, refused)
    status = 422 if refused else 200
    return render(request, "diagnostics/part_test_new.html", context, status=status)


def start_form(request: AtWork, kind: str) -> ChipStartForm | MosfetStartForm:
    if kind == "chip":
        return ChipStartForm(request.POST)
    return MosfetStartForm(request.POST, shop=request.shop)


def begin(
    request: AtWork, place: Place, form: ChipStartForm | MosfetStartForm
) -> PartTest:
    return services.part_test_start(
        board=place.board, ticket=place.ticket, by=request.user, **form.asked()
    )


@roles(TECHNICIAN)
@require_GET
@at_board
def part_test(request: AtWork, place: Place, test_id: int) -> HttpResponse:
    return show(request, place, part_test_of(place, test_id))


@roles(TECHNICIAN)
@require_POST
@at_board
@once
def part_step(request: AtWork, place: Place, test_id: int) -> HttpResponse:
    test, form = part_test_of(place, test_id), StepForm(request.POST)
    if form.is_valid() and done(
        form,
        lambda: services.part_step_take(test=test, by=request.user, **form.asked()),
        typed="typed",
    ):
        return redirect(part_page.act_url("part_test", place, test))
    return show(request, place, test, form)


@roles(TECHNICIAN)
@require_POST
@at_board
@once
def part_step_back(request: AtWork, place: Place, test_id: int) -> HttpResponse:
    test, form = part_test_of(place, test_id), BackForm(request.POST)
    if form.is_valid() and done(
        form,
        lambda: services.part_step_take_back(
            test=test, by=request.user, uuid=form.cleaned_data["uuid"]
        ),
    ):
        return redirect(part_page.act_url("part_test", place, test))
    return show(request, place, test, form)


def part_test_of(place: Place, test_id: int) -> PartTest:
    return get_object_or_404(queries.part_tests_of(place.board), pk=test_id)


def show(
    request: AtWork, place: Place, test: PartTest, refused: forms.Form | None = None
) -> HttpResponse:
    context = part_page.page(place, test, refused)
    status = 422 if refused else 200
    return render(request, "diagnostics/part_test.html", context, status=status)


@roles(TECHNICIAN)
@require_GET
@at_board
def controller(request: AtWork, place: Place) -> HttpResponse:
    context = controller_page.page(place)
    return render(request, "diagnostics/controller.html", context)
