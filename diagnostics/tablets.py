"""Acts that come from a tablet: who did them and when, whoever sends them now.

The outbox of a page (static/js/outbox.js) keeps each act and sends it until it is
answered; these headers tell what it knows of it. While such an act is done,
``arriving`` says so: a ticket that was closed meanwhile takes what had waited, marked
as late.
"""

from collections.abc import Callable, Iterable
from contextvars import ContextVar
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import wraps
from typing import Concatenate, ParamSpec, TypedDict

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from diagnostics.tablet_clock import Moment, moment_of
from shop.people import presence
from shop.people.access import AtWork
from shop.records.kinds import Kind

P = ParamSpec("P")
TAKEN_AT = "Taken-At"
KEPT, REFUSED, WENT_TO = "Tablet-Kept", "Tablet-Refused", "Tablet-Went-To"
MOST_SEQUENCE = 2**53


@dataclass(frozen=True)
class Arriving:
    """An act of a tablet while it is being done here."""

    moment: Moment
    sequence: int | None
    is_confirmed: bool
    told: set[Kind] = field(default_factory=set)

    @property
    def has_waited(self) -> bool:
        return self.moment.has_waited


class OfReading(TypedDict, total=False):
    taken_at: datetime
    tablet_offset_seconds: float
    tablet_sequence: int | None


_arriving: ContextVar[Arriving | None] = ContextVar("arriving", default=None)


def here(request: AtWork, now: datetime) -> dict[str, str | int]:
    """Who is at this tablet, with the house's word for it, and our clock."""
    word = presence.word_for(
        person=request.user, shop=request.shop, station=request.station, now=now
    )
    return {"person": request.user.pk, "word": word, "now": milliseconds(now)}


def milliseconds(at: datetime) -> int:
    return round(at.timestamp() * 1000)


def arriving() -> Arriving | None:
    return _arriving.get()


def has_waited() -> bool:
    act = arriving()
    return act is not None and act.has_waited


def is_confirmed() -> bool:
    """Whether the house vouches for who did what is being done; so if in person."""
    act = arriving()
    return act is None or act.is_confirmed


def of_reading() -> OfReading:
    """What a reading keeps of its way here."""
    act = arriving()
    if act is None:
        return {}
    return {
        "taken_at": act.moment.at,
        "tablet_offset_seconds": act.moment.offset_seconds,
        "tablet_sequence": act.sequence,
    }


def moment() -> datetime | None:
    """When what is being done was done, if a tablet tells."""
    act = arriving()
    return act.moment.at if act else None


def untold(marks: Iterable[Kind]) -> list[Kind]:
    """Those of the marks that this act has not told yet: it may write many events."""
    act = arriving()
    if act is None:
        return []
    new = [mark for mark in marks if mark not in act.told]
    act.told.update(new)
    return new


def as_done(
    view: Callable[Concatenate[AtWork, P], HttpResponse],
) -> Callable[Concatenate[AtWork, P], HttpResponse]:
    """A view of no board whose acts a tablet may have kept (``received``)."""

    @wraps(view)
    def wrapped(request: AtWork, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        return received(request, lambda: view(request, *args, **kwargs))

    return wrapped


def received(request: AtWork, act: Callable[[], HttpResponse]) -> HttpResponse:
    """Do a request's act; a tablet's own as who did it, and say whether it is kept.

    Below this ``request.user`` is who did it. A redirect would hide from the tablet
    whether the act was done or a door was shown, so it is told in headers.
    """
    told = _told(request)
    if told is None:
        return act()
    token = _arriving.set(told)
    try:
        return _said(act())
    finally:
        _arriving.reset(token)


def _told(request: AtWork) -> Arriving | None:
    if request.method != "POST" or TAKEN_AT not in request.headers:
        return None
    now = timezone.now()
    taken, sent = _number(request, TAKEN_AT), _number(request, "Tablet-Clock")
    found = None
    if taken is not None and sent is not None:
        ahead = _number(request, "Tablet-Offset")
        found = moment_of(taken=taken, sent=sent, ahead=ahead, now=now)
    found = found or Moment(now, 0.0, timedelta(0))
    who = presence.present(
        claimed=request.headers.get("Taken-By", ""),
        word=request.headers.get("Taken-Word", ""),
        switch=request.headers.get("Taken-Switch", ""),
        shop=request.shop,
        station=request.station,
        at=found.at,
    )
    if who is not None:
        request.user = who.person
    return Arriving(found, _sequence(request), who is not None and who.is_confirmed)


def _number(request: HttpRequest, header: str) -> float | None:
    try:
        number = float(request.headers.get(header, ""))
    except ValueError:
        return None
    return number if abs(number) < MOST_SEQUENCE else None


def _sequence(request: HttpRequest) -> int | None:
    told = request.headers.get("Tablet-Sequence", "")
    is_one = told.isascii() and told.isdecimal() and int(told) < MOST_SEQUENCE
    return int(told) if is_one else None


def _said(response: HttpResponse) -> HttpResponse:
    if 300 <= response.status_code < 400:
        gone = HttpResponse(status=204)
        gone[WENT_TO], gone[KEPT] = response["Location"], "yes"
        return gone
    if response.status_code < 300:
        response[KEPT] = "yes"
    elif response.status_code < 500:
        response[REFUSED] = "yes"
    return response
