"""What the bench's pages ask for by themselves: traffic only."""

from django.http import HttpResponse, JsonResponse
from django.middleware.csrf import get_token
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from diagnostics import away_cards, bench_page, news, tablets
from diagnostics.page_state import state_of
from diagnostics.place import Place, at_board
from shop.people.access import TECHNICIAN, AtWork, roles


@roles(TECHNICIAN)
@require_GET
def tablet(request: AtWork) -> JsonResponse:
    """Who is here, our clock, and a token for what is sent."""
    here = tablets.here(request, timezone.now())
    return JsonResponse({**here, "token": get_token(request)})


@roles(TECHNICIAN)
@require_GET
def away(request: AtWork) -> HttpResponse:
    """The bench page that a tablet keeps for when the network is away: nobody's."""
    nobody = {"session_left": None, "messages": (), "user": None, "csrf_token": ""}
    return render(request, "diagnostics/away.html", {"is_away": True, **nobody})


@roles(TECHNICIAN)
@require_GET
@at_board
def cards(request: AtWork, place: Place) -> JsonResponse:
    scene = bench_page.scene_of(request, place, {})
    stage_id = state_of(request)["stage"] or bench_page.lit_of(scene).stage_id
    version = news.version_of(place.board)
    return JsonResponse({"version": version, **away_cards.cards(scene, stage_id)})


@roles(TECHNICIAN)
@require_GET
@at_board
def live(request: AtWork, place: Place) -> HttpResponse:
    """The columns beside the card, where the page's are older than the board."""
    seen = request.GET.get("seen", "")
    if seen == news.version_of(place.board):
        return HttpResponse(status=204)
    scene = bench_page.scene_of(request, place, {})
    context = bench_page.page(scene, bench_page.lit_of(scene)) | {
        "news": news.news(scene.known, seen, request.user)
    }
    return render(request, "diagnostics/_live.html", context)
