"""The bench calculators: traffic only. Trying one is its address; keeping is an act."""

from typing import Any
from uuid import UUID

from django.http import Http404, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_GET, require_http_methods

from diagnostics import calculator_page, services
from diagnostics.calculating import Errors, NotReckoned
from diagnostics.engine.calculators.registry import CALCULATORS
from diagnostics.engine.calculators.shape import Calculator
from diagnostics.engine.errors import EngineError
from diagnostics.models import Calculation
from diagnostics.place import Place, at_board
from diagnostics.words import error_sentence
from shop.people.access import TECHNICIAN, AtWork, roles
from shop.records.errors import Refused
from shop.records.idempotency import once


@roles(TECHNICIAN)
@require_GET
@at_board
def calculators(request: AtWork, place: Place) -> HttpResponse:
    return calculator_page.listed(request, place)


@roles(TECHNICIAN)
@require_http_methods(["GET", "POST"])
@at_board
@once
def calculator(request: AtWork, place: Place, calculator_id: str) -> HttpResponse:
    """Try it by GET, which stores nothing; keep it by POST."""
    chosen = CALCULATORS.get(calculator_id)
    if chosen is None:
        raise Http404
    if request.method != "POST":
        return calculator_page.shown(request, place, chosen)
    kept = keep(request, place, chosen)
    if isinstance(kept, Calculation):
        return redirect(after(place, kept))
    return calculator_page.shown(request, place, chosen, refused=kept)


def keep(request: AtWork, place: Place, chosen: Calculator) -> Calculation | Errors:
    """The kept row, or why there is none."""
    asked: dict[str, Any] = {
        "typed": {one.name: request.POST.get(one.name, "") for one in chosen.inputs},
        "uuid": uuid_of(request.POST.get("uuid", "")),
        "point_id": request.POST.get("point", "")[:60],
        "store": request.POST.get("store", "")[:40],
    }
    try:
        return services.calculation_keep(
            board=place.board,
            ticket=place.ticket,
            by=request.user,
            calculator_id=chosen.id,
            **asked,
        )
    except NotReckoned as none:
        return none.errors
    except Refused as refused:
        return {None: str(refused)}
    except EngineError as error:
        return {None: error_sentence(error)}


def uuid_of(text: str) -> UUID | None:
    try:
        return UUID(text)
    except ValueError:
        return None


def after(place: Place, kept: Calculation) -> str:
    """The reading's verdict where one was stored, else what it was made for."""
    if kept.reading is not None:
        return place.url(reading=kept.reading.pk)
    if kept.point_id:
        check = kept.point_id.partition("/")[0]
        return place.url(check=check, point=kept.point_id)
    return place.calculators_url
