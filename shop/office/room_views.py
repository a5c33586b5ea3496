"""The office's pages of figures, and their tables as files."""

from typing import Any

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from shop.office import files
from shop.office.asking import MONTHS, Question, question_of, whole_days
from shop.office.counted import Counted, counted
from shop.office.kept import newest_event
from shop.office.rooms import NAMES, ROOMS
from shop.people.access import OWNER, AtWork, roles


@roles(OWNER)
@require_GET
def figures(request: AtWork, room: str) -> HttpResponse:
    question = _question(request, room)
    if question.asked is None:
        return _page(request, room, question, status=422)
    found = counted(room, request.shop, question.asked, anew="anew" in request.GET)
    return _page(request, room, question, found)


def _question(request: AtWork, room: str) -> Question:
    if room not in ROOMS:
        raise Http404(room)
    return question_of(request.GET.dict(), request.shop, timezone.now())


def _page(
    request: AtWork,
    room: str,
    question: Question,
    found: Counted | None = None,
    status: int = 200,
) -> HttpResponse:
    context: dict[str, Any] = {
        "room": room,
        "name": NAMES[room],
        "question": question,
        "form": question.form,
        "months": MONTHS,
        "sections": found.sections if found else [],
    }
    if found is not None and found.newest != newest_event(request.shop):
        context["counted_at"] = found.at
    if question.asked is not None:
        context["first"], context["last"] = whole_days(question.asked, request.shop)
    return render(request, "office/room.html", context, status=status)


@roles(OWNER)
@require_GET
def table_file(request: AtWork, room: str, code: str, kind: str) -> HttpResponse:
    """A section's table as a file; the page itself where the time makes no sense."""
    question = _question(request, room)
    if question.asked is None:
        return _page(request, room, question, status=422)
    found = counted(room, request.shop, question.asked)
    section = next((one for one in found.sections if one.code == code), None)
    if section is None:
        raise Http404(code)
    first, last = whole_days(question.asked, request.shop)
    name = f"{room}-{code}-{first}-{last}.{kind}"
    return files.answer(section, kind, name, request.shop.zone)
