"""Photos that a request brings: kept one by one, each refusal in words.

Not ``@once``: a form that was sent again brings the same key and the same bytes, by
which each photo is known; with other photos it brings others, and none is lost.
"""

from dataclasses import dataclass, field

from django.http import HttpRequest, JsonResponse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shop.intake.models import Ticket
from shop.people.models import Person, Station
from shop.photos import aside, links
from shop.photos.forms import SideForm
from shop.photos.models import Link, Photo
from shop.photos.services import photo_take_in
from shop.photos.uploads import too_large_in
from shop.records.errors import Refused
from shop.records.idempotency import key_of


@dataclass(frozen=True)
class Where:
    """What the photos are of, and who brings them."""

    by: Person
    ticket: Ticket
    board_id: int | None = None
    station: Station | None = None
    link: Link | None = None


@dataclass
class Received:
    kept: list[Photo] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)

    @property
    def said(self) -> str:
        count = len(self.kept)
        return ngettext("%(n)d photo kept.", "%(n)d photos kept.", count) % {"n": count}


def receive(request: HttpRequest, where: Where) -> Received:
    """Keep what can be kept; a refused photo keeps none of the others out."""
    received, form = Received(), SideForm(request.POST)
    sent = request.FILES.getlist("photos")
    if not form.is_valid():
        received.refused.append(_("Say what they show."))
        return received
    for number, file in enumerate(sent, start=1):
        try:
            if where.link is not None:
                links.photo_may_come(where.link)
            photo = photo_take_in(
                shop=where.ticket.shop,
                by=where.by,
                sent=file.read(),
                key=key_of(request),
                side=form.cleaned_data["side"],
                ticket=where.ticket,
                board_id=where.board_id,
                taken_at=form.taken_at(),
                station=where.station,
                link=where.link,
            )
        except Refused as refused:
            received.refused.append(_numbered(number, len(sent), str(refused)))
        else:
            received.kept.append(photo)
    received.refused += [str(aside.WHY["too_large"])] * too_large_in(request)
    if not received.kept and not received.refused:
        received.refused.append(_("Choose at least one photo."))
    return received


def _numbered(number: int, count: int, why: str) -> str:
    if count == 1:
        return why
    return _("Photo %(n)d: %(why)s") % {"n": number, "why": why}


def for_script(received: Received) -> JsonResponse:
    """The answer to the page's own script."""
    status = 422 if received.refused else 200
    answer = {"kept": len(received.kept), "refused": received.refused}
    return JsonResponse(answer, status=status)


def is_script(request: HttpRequest) -> bool:
    return request.headers.get("Accept") == "application/json"
