"""A scan leads somewhere; a thing and a place together move the thing.

The same addresses serve the script (JSON) and plain pages. What a place or a tag
was scanned a moment ago is remembered by the page or stands in its form: asking
changes nothing here.
"""

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from shop.intake import outage, places, scans, services, slip_links
from shop.intake.models import Place, Thing
from shop.intake.scans import What
from shop.people.access import FRONT_DESK, OWNER, TECHNICIAN, AtWork, roles
from shop.people.models import Shop
from shop.records.errors import Refused
from shop.records.idempotency import once


@dataclass(frozen=True)
class Answer:
    """What a scan is, in words, and where it leads."""

    kind: str
    code: str
    said: str
    url: str = ""
    thing: Thing | None = None
    place: Place | None = None

    def as_data(self) -> dict[str, Any]:
        plain = ("kind", "code", "said", "url")
        return {name: getattr(self, name) for name in plain}


def _wants_data(request: AtWork) -> bool:
    return request.headers.get("Accept") == "application/json"


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_GET
def scan(request: AtWork) -> HttpResponse:
    """Where a code leads. Without a code: the field to scan or type one."""
    typed = request.GET.get("code", "").strip()
    if not typed:
        return render(request, "intake/scan.html", {"answer": None})
    read = scans.read(typed)
    answer = answer_to(request.shop, read)
    if _wants_data(request):
        return JsonResponse(answer.as_data())
    if answer.url and answer.kind != What.TAG:
        return redirect(answer.url)
    context = {"answer": answer, "read": read, "also": scans.also(read.text)}
    return render(request, "intake/scan.html", context)


def answer_to(shop: Shop, read: scans.Scan) -> Answer:
    """What this shop knows of a scan."""
    if read.what == What.BADGE:
        return Answer(What.BADGE, "", _("A badge: sign in with it at the bench."))
    if read.is_misread:
        near = ", ".join(sorted(read.near)[:5])
        said = _("Misread: the check digit of “%(text)s” doesn’t fit.") % {
            "text": read.text
        }
        if near:
            said = _("%(said)s Near: %(near)s.") % {"said": said, "near": near}
        return Answer("misread", "", said)
    known = {What.TICKET: _ticket, What.TAG: _tag, What.PLACE: _place}
    if read.what in known:
        return known[read.what](shop, read) or _on_paper(shop, read)
    if named := places.named(shop, read.text):
        return _of_place(named)
    url = f"{reverse('searching:find')}?{urlencode({'q': read.text})}"
    if read.what == What.PART:
        return Answer(What.PART, read.text, _("Code %(c)s") % {"c": read.text}, url)
    said = _("“%(text)s” is no code of ours.") % {"text": read.text}
    return Answer(What.OTHER, "", said, url)


def _on_paper(shop: Shop, read: scans.Scan) -> Answer:
    """A blank slip's number leads to the intake that types it in."""
    slip = outage.slip_numbered(shop, read.number) if read.number else None
    if slip is None:
        return _not_here(read)
    said = _("Blank slip %(number)s, not typed in yet.") % {"number": slip}
    return Answer("paper", read.code, said, slip.get_absolute_url())


def _not_here(read: scans.Scan) -> Answer:
    said = _("“%(text)s” is not known in this shop.") % {"text": read.text}
    return Answer("unknown", "", said)


def _ticket(shop: Shop, read: scans.Scan) -> Answer | None:
    ticket = shop.tickets.filter(number=read.number).select_related("device").first()
    if ticket is None:
        return None
    said = _("Ticket %(number)s, %(device)s") % {
        "number": ticket.number,
        "device": ticket.device,
    }
    return Answer(What.TICKET, read.code, said, ticket.get_absolute_url())


def _tag(shop: Shop, read: scans.Scan) -> Answer | None:
    thing = thing_scanned(shop, read)
    if thing is None:
        return None
    said = _("%(tag)s, %(thing)s of %(device)s") % {
        "tag": f"{thing.ticket.number}-{thing.tag}",
        "thing": thing,
        "device": thing.ticket.device,
    }
    url = thing.ticket.get_absolute_url()
    return Answer(What.TAG, read.code, said, url, thing=thing)


def thing_scanned(shop: Shop, read: scans.Scan) -> Thing | None:
    things = Thing.objects.select_related("ticket__device", "ticket__shop")
    return things.filter(
        ticket__shop=shop, ticket__number=read.number, tag=read.tag
    ).first()


def _place(shop: Shop, read: scans.Scan) -> Answer | None:
    row = Place.objects.filter(shop=shop, pk=read.place_id, ended_at=None).first()
    return _of_place(row) if row else None


def _of_place(row: Place) -> Answer:
    said = _("%(place)s, %(kind)s") % {"place": row, "kind": row.get_kind_display()}
    code = scans.place_code(row.pk)
    return Answer(What.PLACE, code, said, row.get_absolute_url(), place=row)


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_POST
@once
def put(request: AtWork) -> HttpResponse:
    """Put the thing of one code at the place of the other, whatever their order."""
    codes = [request.POST.get(name, "") for name in ("thing", "place")]
    try:
        thing, place = _both(request.shop, codes)
        event = services.thing_move(thing=thing, by=request.user, place=place.name)
    except Refused as refused:
        return _refused(request, refused)
    tag = f"{thing.ticket.number}-{thing.tag}"
    said = _("%(tag)s put at %(place)s") % {"tag": tag, "place": place}
    if _wants_data(request):
        undo = {"thing": scans.tag_code(thing.ticket.number, thing.tag)}
        undo["event"] = str(event.pk)
        data = {"said": said, "tag": tag, "place": place.name, "undo": undo}
        return JsonResponse(data)
    messages.success(request, said)
    return redirect(_on_from(request, thing, place))


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_POST
def slip_code(request: AtWork) -> HttpResponse:
    """The code of a customer's slip: its ticket. Posted, so that no log holds it.

    Not ``once``: the kept answer would hold a hash of the secret.
    """
    ticket = slip_links.ticket_of(request.shop, request.POST.get("code", ""))
    if ticket is None:
        return _refused(request, Refused(_("This slip is not known in this shop.")))
    url = ticket.get_absolute_url()
    if not _wants_data(request):
        return redirect(url)
    said = _("Ticket %(number)s") % {"number": ticket}
    code = scans.ticket_code(ticket.number)
    return JsonResponse({"kind": What.TICKET, "code": code, "said": said, "url": url})


def _both(shop: Shop, codes: list[str]) -> tuple[Thing, Place]:
    answers = [answer_to(shop, scans.read(code)) for code in codes]
    things = [one.thing for one in answers if one.thing]
    spots = [one.place for one in answers if one.place]
    if things and spots:
        return things[0], spots[0]
    wrong = next((a.said for a in answers if not (a.thing or a.place)), "")
    missing = _("Scan a bag tag.") if spots else _("Scan a place.")
    raise Refused(f"{wrong} {missing}".strip())


def _refused(request: AtWork, refused: Refused) -> HttpResponse:
    if _wants_data(request):
        return JsonResponse({"said": str(refused)}, status=422)
    context = {"answer": None, "refused": refused}
    return render(request, "intake/scan.html", context, status=422)


def _on_from(request: AtWork, thing: Thing, place: Place) -> str:
    """Back to the place while things are put there, else to the thing's ticket."""
    if request.POST.get("then") == "place":
        return place.get_absolute_url()
    return thing.ticket.get_absolute_url()


@roles(FRONT_DESK, TECHNICIAN, OWNER)
@require_POST
@once
def undo(request: AtWork) -> HttpResponse:
    """Take the last move of a thing back."""
    read = scans.read(request.POST.get("thing", ""))
    thing = thing_scanned(request.shop, read)
    event = request.POST.get("event", "")
    if thing is None or not (event.isascii() and event.isdigit()):
        return _refused(request, Refused(_("There is nothing to take back.")))
    try:
        back = services.thing_move_back(
            thing=thing, by=request.user, event_id=int(event)
        )
    except Refused as refused:
        return _refused(request, refused)
    tag = f"{thing.ticket.number}-{thing.tag}"
    place = back.codes["place"] or _("no place noted")
    said = _("%(tag)s taken back: %(place)s") % {"tag": tag, "place": place}
    if _wants_data(request):
        return JsonResponse({"said": said, "tag": tag, "place": place})
    messages.success(request, said)
    return redirect(thing.ticket)
