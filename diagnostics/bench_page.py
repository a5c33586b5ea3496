"""The bench page of one board: what is lit, what stands beside it."""

from dataclasses import replace
from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render

from diagnostics import (
    advising,
    beside,
    board_photos,
    calculator_links,
    cards,
    donors,
    ladders,
    news,
    next_best,
    next_card,
    part_page,
    presets,
    queries,
    seeing,
    suspect_card,
    walk_words,
    ways,
)
from diagnostics.band_strip import Strip, strip_of
from diagnostics.beside import Forms, Scene
from diagnostics.bridge import Judged, Known, like_of, observed
from diagnostics.check_card import METER, check_card
from diagnostics.engine.assessment import Assessment
from diagnostics.entering import Entered
from diagnostics.lit import Lit, lit_in
from diagnostics.models import Reading
from diagnostics.page_state import FREELY, OFFERED, is_fragment, state_of
from diagnostics.place import Place
from diagnostics.walk import Step, Walk, walk_of
from shop.intake.forms_acts import DataSafeForm
from shop.people.access import AtWork
from shop.records.idempotency import forget_key


def show(
    request: AtWork, place: Place, *, refused: Forms | None = None
) -> HttpResponse:
    """The page, or for htmx its card with the columns beside it."""
    scene = scene_of(request, place, refused or {})
    return answer(scene, lit_of(scene))


def lit_of(scene: Scene) -> Lit:
    """What the address asks for; on a board that was begun, else the next best."""
    walk = walk_of(scene.known)
    return lit_in(walk, state_of(scene.request), best_step(scene, walk))


def best_step(scene: Scene, walk: Walk) -> Step | None:
    """The next best check, for who follows it, on a board that was begun."""
    if scene.is_walking or not scene.known.judged:
        return None
    found = next_best.best(walk, scene.said)
    return found.step if found else None


def scene_of(request: AtWork, place: Place, refused: Forms) -> Scene:
    version = news.version_of(place.board)  # first: what comes meanwhile is news
    known = queries.known_of(place.board)
    scene = scene_with(request, place, known)
    said = said_at(place, known)
    return replace(scene, refused=refused, version=version, said=said)


def said_at(place: Place, known: Known) -> Assessment | None:
    """A reference board is known to be good or gives parts: nothing is said of it."""
    return advising.said_on_page(known) if place.ticket else None


def scene_with(request: AtWork, place: Place, known: Known) -> Scene:
    return Scene(
        request,
        place,
        known,
        {},
        is_hidden=request.user.hides_suspects
        and state_of(request)["suspects"] != "show",
        is_walking=ways.is_walking(request),
    )


def after(
    request: AtWork, place: Place, entered: Entered, *, offered: str
) -> HttpResponse:
    """A reading was kept: its verdict, in the same place, and the next in hand.

    Whoever walks gets the next of the walk, who took what was ``offered`` the next best
    check, and who chose freely the other points of their check first.
    """
    reading, back = entered.reading, state_of(request)["back"]
    taken = OFFERED if reading.point_id == offered else FREELY
    state = {"reading": str(reading.pk), "taken": taken, "back": back}
    page_url = place.url(**state)
    if not is_fragment(request):
        return redirect(page_url)
    forget_key(request)
    known = entered.known or queries.known_of(place.board)
    scene, walk = scene_with(request, place, known), walk_of(known)
    context = taken_card(scene, walk, lit_in(walk, state))
    response = render(request, "diagnostics/_taken.html", context)
    response["HX-Push-Url"] = page_url
    return response


def taken_card(scene: Scene, walk: Walk, lit: Lit) -> dict[str, Any]:
    """The card alone; the columns beside it, half of the work, are asked for next.

    So is what the suspects say, where what is next doesn't hang on it.
    """
    if not next_card.leads_back_or_on(scene, lit):
        scene = replace(scene, said=said_at(scene.place, scene.known))
    return {
        "place": scene.place,
        "lit": card(scene, walk, lit),
        "seeing": seeing.beside(scene),
    }


def same_check(request: AtWork, place: Place) -> HttpResponse:
    """The board stands as the check needs it: its entry, in the same place."""
    state = {**state_of(request), "ask": ""}
    page_url = place.url(**state)
    if not is_fragment(request):
        return redirect(page_url)
    scene = scene_of(request, place, {})
    response = answer(scene, lit_of(scene))
    response["HX-Push-Url"] = page_url
    return response


def onward(request: AtWork, place: Place, check_id: str) -> HttpResponse:
    """A check was passed by, or is to be taken after all: what is next is lit."""
    scene = scene_of(request, place, {})
    walk = walk_of(scene.known)
    step = onward_step(scene, walk, check_id)
    state = {"check": step.check.id, "point": step.point.id} if step else {}
    page_url = place.url(**state, passed=check_id)
    if not is_fragment(request):
        return redirect(page_url)
    response = answer(scene, Lit(step))
    response["HX-Push-Url"] = page_url
    return response


def onward_step(scene: Scene, walk: Walk, check_id: str) -> Step | None:
    steps = walk.of_check(check_id)
    if steps and not walk.is_passed_by(check_id):
        return next((step for step in steps if not step.is_read), steps[0])
    stage = steps[0].stage.id if steps else ""
    return best_step(scene, walk) or walk.next_step(stage, check_id)


def answer(scene: Scene, lit: Lit) -> HttpResponse:
    template = "_swap.html" if is_fragment(scene.request) else "board.html"
    status = 422 if scene.refused else 200
    return render(
        scene.request, f"diagnostics/{template}", page(scene, lit), status=status
    )


def show_suspects(request: AtWork, place: Place) -> HttpResponse:
    """The suspects card by itself, with the ladder that it marks."""
    state = state_of(request)
    if not is_fragment(request):
        return redirect(place.url(**state))
    scene = scene_of(request, place, {})
    lit = lit_of(scene)
    context = {
        "place": place,
        "version": scene.version,
        "suspects": suspect_card.context(scene, state),
        "ladder": ladder(scene, lit, walk_of(scene.known)),
    }
    return render(request, "diagnostics/_suspects_swap.html", context)


def remember_meter(request: AtWork, reading: Reading) -> None:
    if request.session.get(METER) != reading.meter_id:
        request.session[METER] = reading.meter_id


# --- the page ---------------------------------------------------------------


def page(scene: Scene, lit: Lit) -> dict[str, Any]:
    place, known, state = scene.place, scene.known, state_of(scene.request)
    walk, stage = walk_of(known), state["stage"] or lit.stage_id
    return {
        "place": place,
        "version": scene.version,
        "page_url": place.url(),
        "is_data_first": queries.waits_for_data(place.ticket),
        "data_form": scene.refused.get("data") or DataSafeForm(),
        "notices": notices(scene.refused),
        "lit": card(scene, walk, lit),
        "next": next_card.beside_check(scene, walk, lit),
        "ladder": ladder(scene, lit, walk),
        "walk": beside.checklist(scene, walk, lit, stage),
        "suspects": suspect_card.context(scene, state),
        "held": beside.held(scene, walk, stage),
        "work": beside.work(scene),
        "seeing": seeing.beside(scene),
        "photos": board_photos.panel(scene.request, place),
        "holder": beside.holder(known, scene.request.user, place),
        **({} if is_fragment(scene.request) else folded(place, known)),
    }


def folded(place: Place, known: Known) -> dict[str, Any]:
    """What is folded at the foot and stays on the page at a swap."""
    return {
        "parts": part_page.beside(place, known),
        "calculations": calculator_links.newest(place),
        "donor": donors.beside(place, known),
    }


def ladder(scene: Scene, lit: Lit, walk: Walk) -> dict[str, Any]:
    step = next_card.in_hand(scene, walk, lit)
    stage = state_of(scene.request)["stage"]
    shown = ladders.bench(
        scene.known,
        scene.place,
        open_stage=stage or (step.stage.id if step else lit.stage_id),
        in_hand=step.point.rail if step else None,
        speaks=suspect_card.speaks(scene),
        walked={one.stage.id: walk_words.walked(one) for one in walk.progress()},
    )
    return {**shown, "is_asked_for": bool(stage)}


def notices(refused: Forms) -> list[str]:
    """What was refused of acts that have no form of their own on the page."""
    shown = {"reading", "overrule", "intervention", "finding", "word", "sighting"}
    shown |= {"condition", "pass_by"}
    return [
        str(error)
        for slot, form in refused.items()
        if slot not in shown
        for errors in form.errors.values()
        for error in errors
    ]


def card(scene: Scene, walk: Walk, lit: Lit) -> dict[str, Any]:
    """What the lit card shows: a check to take, or a verdict and what is next."""
    if lit.judged is None:
        return {
            "check": check_card(scene, walk, lit.step) if lit.step else None,
            "best": next_card.on_card(scene, walk, lit),
        }
    settle = lit.judged.verdict.settle
    good_board = presets.good_board_url(scene.place, lit.judged) if settle else ""
    return {
        "verdict": {
            **cards.verdict(scene.known, lit.judged),
            "settle": cards.settle(scene.known, lit.judged, scene.place, good_board),
        },
        "is_taken": bool(lit.taken),
        "is_look": seeing.is_look(lit.judged.check),
        "asks_where": seeing.asks_where(scene.known, lit.judged),
        "strip": strip_under(scene.known, lit.judged),
        "beside": beside_under(scene.known, lit.judged),
        "next": next_card.under_verdict(scene, walk, lit),
    }


def strip_under(known: Known, one: Judged) -> Strip | None:
    """The reading on its band; looking and outcomes without a value have none."""
    if one.reading.value is None:
        return None
    net = observed(one.reading).net
    goods = known.goods(like_of(one.reading))
    return strip_of(one.yardstick, net, one.verdict.word.value, goods=goods)


def beside_under(known: Known, one: Judged) -> dict[str, Any] | None:
    reading = one.reading
    return cards.beside(known, like_of(reading), reading.unit)
