"""The pages of the bench calculators: what they show."""

from typing import Any
from uuid import uuid4

from django.http import HttpResponse
from django.shortcuts import render

from diagnostics import (
    bridge,
    calculating,
    calculator_facts,
    calculator_links,
    queries,
    sayings,
)
from diagnostics.bridge import Known
from diagnostics.calculating import NotReckoned, Reckoned
from diagnostics.calculator_facts import Facts
from diagnostics.calculator_forms import CalculatorForm
from diagnostics.check_card import METER
from diagnostics.engine.calculators.registry import CALCULATORS
from diagnostics.engine.calculators.shape import Calculator
from diagnostics.figures import show
from diagnostics.place import Place
from diagnostics.words import cautions
from shop.people.access import AtWork


def listed(request: AtWork, place: Place) -> HttpResponse:
    """All calculators, and what was kept of this board."""
    known = queries.known_of(place.board)
    context = {
        "place": place,
        "calculators": [
            {
                "name": sayings.family_text(one.name),
                "formula": sayings.family_text(one.formula),
                "url": place.calculator_url(one.id),
                "checks": checks_of(known, one),
            }
            for one in CALCULATORS.values()
        ],
        "kept": calculator_links.kept(place, queries.calculations_of(place.board)),
    }
    return render(request, "diagnostics/calculators.html", context)


def checks_of(known: Known, calculator: Calculator) -> str:
    """The checks of this board that a calculator serves."""
    checks = known.board.checks
    return ", ".join(
        f"{sayings.family_text(checks[one].name)} ({one})"
        for one in calculator.serves
        if one in checks
    )


def shown(
    request: AtWork,
    place: Place,
    calculator: Calculator,
    *,
    refused: calculating.Errors | None = None,
) -> HttpResponse:
    """One calculator: filled in, tried by its address, or refused with its reasons."""
    asked = request.POST if request.method == "POST" else request.GET
    facts = facts_of(request, place, asked.get("point", "")[:60])
    names = {one.name for one in calculator.inputs}
    if not names & set(asked):
        start = calculator_facts.filled(calculator.id, facts)
        return page(request, facts, place, CalculatorForm(calculator, initial=start))
    settled = calculator_facts.settled(calculator.id, facts)
    form = CalculatorForm(calculator, {**asked.dict(), **settled})
    reckoned = tried(form)
    if reckoned is not None and refused:
        form.refuse(refused)
    return page(request, facts, place, form, reckoned)


def facts_of(request: AtWork, place: Place, point_id: str) -> Facts:
    known = queries.known_of(place.board)
    meter = queries.meter_now(request.shop, request.session.get(METER))
    leads = queries.lead_ohms(request.shop, request.user, meter, known.now)
    return Facts(known, point_id, leads, bridge.meter_spec(meter).diode_amps)


def tried(form: CalculatorForm) -> Reckoned | None:
    """The result, or what was refused beside its field."""
    inputs = form.calculator.inputs
    typed = {one.name: str(form.data.get(one.name, "")) for one in inputs}
    try:
        return calculating.reckon(form.calculator, typed)
    except NotReckoned as none:
        form.refuse(none.errors)
        return None


def page(
    request: AtWork,
    facts: Facts,
    place: Place,
    form: CalculatorForm,
    reckoned: Reckoned | None = None,
) -> HttpResponse:
    point = facts.point
    context = {
        "place": place,
        "calculator": described(form.calculator),
        "form": form,
        "point_id": point.id if point else "",
        "beside": beside(facts, place) if point else None,
        "result": result(facts, reckoned) if reckoned else None,
        "cautions": told(form.calculator),
    }
    is_refused = form.is_bound and bool(form.errors)
    status = 422 if is_refused else 200
    return render(request, "diagnostics/calculator.html", context, status=status)


def described(calculator: Calculator) -> dict[str, Any]:
    return {
        "id": calculator.id,
        "name": sayings.family_text(calculator.name),
        "formula": sayings.family_text(calculator.formula),
        "limits": [
            (sayings.family_text(one.label), show(one.value, one.unit))
            for one in calculator.limits
        ],
    }


def beside(facts: Facts, place: Place) -> dict[str, str]:
    """The point in hand, and the way back to it."""
    point = facts.known.board.point(facts.point_id)
    return {
        "title": sayings.point_title(facts.known.board, point),
        "check": point.check,
        "url": place.url(check=point.check, point=point.id),
    }


def result(facts: Facts, reckoned: Reckoned) -> dict[str, Any]:
    """The figures, the first of them large, with the reasoning in words."""
    calculator = reckoned.calculator
    figures = calculating.figures(calculator, reckoned.found)
    typed = calculating.as_typed(calculator.id, reckoned.typed)
    return {
        "uuid": uuid4(),
        "first": figures[0] if figures else None,
        "others": figures[1:],
        "reasons": calculating.sentences(reckoned.result.reasons),
        "typed": [(name, text) for name, text in typed.items() if text],
        "stores": [
            {
                "output": one.output.name,
                "text": one.text,
                "title": sayings.point_title(facts.known.board, one.point),
                "check": one.point.check,
            }
            for one in calculating.storable(facts.known, facts.point_id, reckoned)
        ],
    }


def told(calculator: Calculator) -> list[str]:
    """The bench's own cautions, with whose rules come first."""
    said = cautions.said(calculator.cautions)
    return [*said, str(cautions.LOCAL_RULES)] if said else []
