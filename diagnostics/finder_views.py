"""Pages of the circuit finder: traffic only."""

from collections.abc import Callable

from django import forms
from django.core.files.storage import default_storage
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_GET, require_POST
from django_htmx.http import HttpResponseClientRedirect

from diagnostics import finder_files, finder_page, services
from diagnostics.doing import done
from diagnostics.finder import faces_of
from diagnostics.finder_forms import MarkForm, OutlineForm, PictureForm, WordForm
from diagnostics.finder_spot import Spot, spot_of, spot_of_act
from diagnostics.models import BoardMark, BoardPicture
from diagnostics.place import Place, at_board
from shop.people.access import OWNER, TECHNICIAN, AtWork, roles
from shop.photos import queries as photos
from shop.records.idempotency import once


@roles(TECHNICIAN)
@require_GET
@at_board
def circuits(request: AtWork, place: Place) -> HttpResponse:
    """The circuit finder for the board in hand."""
    return finder_page.show(request, spot_of(request, place.board.board_model, place))


@roles(TECHNICIAN, OWNER)
@require_GET
def model_circuits(request: AtWork, board_model_id: int) -> HttpResponse:
    """The same for a board model, without a board in hand."""
    model = get_object_or_404(request.shop.board_models, pk=board_model_id)
    return finder_page.show(request, spot_of(request, model))


@roles(TECHNICIAN, OWNER)
@require_GET
def picture(request: AtWork, picture_id: int) -> HttpResponse:
    row = get_object_or_404(
        BoardPicture.objects.exclude(name=""),
        pk=picture_id,
        board_model__shop=request.shop,
    )
    return finder_files.served(row)


def answer(
    request: AtWork,
    spot: Spot,
    asked: tuple[str, forms.Form],
    act: Callable[[], object],
    to: str,
) -> HttpResponse:
    """Do the act that a form asked for and go on, or show what was refused."""
    slot, form = asked
    if form.is_valid() and done(form, act):
        is_elsewhere = request.htmx and to == spot.back_url
        return HttpResponseClientRedirect(to) if is_elsewhere else redirect(to)
    return finder_page.show(request, spot, refused={slot: form})


@roles(TECHNICIAN)
@require_POST
@once
def circuits_mark(request: AtWork, board_model_id: int) -> HttpResponse:
    spot, form = spot_of_act(request, board_model_id), MarkForm(request.POST)
    face = faces_of(spot.board_model).get(spot.side)
    if face is None:
        return redirect(spot.url())

    def act() -> BoardMark:
        return services.mark_set(
            picture=face.picture, by=request.user, **form.cleaned_data
        )

    to = spot.url(kind="", marking="")
    if spot.tool == "point" and spot.place and spot.state["check"]:
        to = spot.back_url
    return answer(request, spot, ("mark", form), act, to)


@roles(TECHNICIAN)
@require_POST
@once
def circuits_undo(request: AtWork, board_model_id: int) -> HttpResponse:
    spot = spot_of_act(request, board_model_id)
    services.mark_undo(board_model=spot.board_model, by=request.user)
    return redirect(spot.url())


@roles(TECHNICIAN)
@require_POST
@once
def circuits_away(request: AtWork, board_model_id: int, mark_id: int) -> HttpResponse:
    spot = spot_of_act(request, board_model_id)
    marks = BoardMark.objects.filter(picture__board_model=spot.board_model)
    mark = get_object_or_404(marks, pk=mark_id)
    services.mark_take_away(mark=mark, by=request.user)
    return redirect(spot.url())


@roles(TECHNICIAN)
@require_POST
@once
def circuits_say(request: AtWork, board_model_id: int) -> HttpResponse:
    spot, form = spot_of_act(request, board_model_id), WordForm(request.POST)

    def act() -> object:
        return services.circuit_say(
            board_model=spot.board_model, by=request.user, **form.cleaned_data
        )

    return answer(request, spot, ("word", form), act, spot.url())


@roles(TECHNICIAN)
@require_POST
@once
def circuits_outline(request: AtWork, board_model_id: int) -> HttpResponse:
    spot, form = spot_of_act(request, board_model_id), OutlineForm(request.POST)

    def act() -> object:
        return services.outline_keep(
            board_model=spot.board_model, by=request.user, **form.cleaned_data
        )

    return answer(request, spot, ("outline", form), act, spot.url(tool="landmark"))


@roles(TECHNICIAN)
@require_POST
@once
def circuits_picture(request: AtWork, board_model_id: int) -> HttpResponse:
    """A photo sent now, or a copy of one that is kept with the ticket."""
    spot = spot_of_act(request, board_model_id)
    form = PictureForm(request.POST, request.FILES)

    def act() -> object:
        asked = form.cleaned_data
        return services.picture_keep(
            board_model=spot.board_model,
            by=request.user,
            side=asked["side"],
            sent=sent(request, asked["photo"], asked["kept"]),
            is_nothing_personal=asked["is_nothing_personal"],
        )

    return answer(request, spot, ("picture", form), act, spot.url(tool="landmark"))


def sent(request: AtWork, file: object, kept_id: int | None) -> bytes:
    if kept_id is None:
        return file.read()  # type: ignore[attr-defined,no-any-return]
    photo = photos.photo_get(request.shop, kept_id)
    with default_storage.open(photo.full_file) as opened:
        body: bytes = opened.read()
    return body
