"""A signature drawn on the screen: strokes of whole points in a box of our own size."""

import json
import re
from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.intake.counter_models import Signature, Signed
from shop.intake.models import Ticket
from shop.intake.services.rows import still_open, tell
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.sealed import CannotOpen, seal, unseal

WIDTH, HEIGHT = 600, 160
MOST_POINTS = 4000
LONGEST = 60_000
PATH = re.compile(r"(?:M\d+ \d+(?:L\d+ \d+)+)+\Z")


def path_of(typed: str) -> str:
    """The strokes ``[[x, y, x, y, ...], ...]`` as an SVG path; else refused.

    A tap without a move becomes a dot.
    """
    return "".join(_stroke(points) for points in _read(typed))


def _read(typed: str) -> list[list[int]]:
    try:
        strokes = json.loads(typed) if len(typed) <= LONGEST else None
    except (ValueError, RecursionError):
        strokes = None
    if not (isinstance(strokes, list) and strokes and all(map(_is_stroke, strokes))):
        raise Refused(_("Sign in the box, or choose paper."), field="signed")
    if sum(map(len, strokes)) > 2 * MOST_POINTS:
        raise Refused(
            _("That is too much ink. Clear it and sign again."), field="signed"
        )
    return strokes


def _is_stroke(points: object) -> bool:
    return (
        isinstance(points, list)
        and len(points) >= 2
        and len(points) % 2 == 0
        and all(type(one) is int for one in points)
        and all(0 <= one <= WIDTH for one in points[::2])
        and all(0 <= one <= HEIGHT for one in points[1::2])
    )


def _stroke(points: Sequence[int]) -> str:
    pairs = list(zip(points[::2], points[1::2], strict=True))
    if len(pairs) == 1:
        pairs *= 2
    return "M" + "L".join(f"{x} {y}" for x, y in pairs)


@transaction.atomic
def signature_keep(
    *,
    ticket: Ticket,
    by: Person,
    drawn: str,
    about: str = Signed.SLIP,
    at: datetime | None = None,
) -> Signature:
    """What the slip or the handover says is signed for, on the screen."""
    still_open(ticket)
    if Signature.objects.filter(ticket=ticket, about=about).exists():
        raise Refused(_("This is signed already."), field="signed")
    row = Signature(ticket=ticket, about=about, at=at or timezone.now())
    seal(row, "sealed", path_of(drawn))
    row.save()
    tell(Kind.SLIP_SIGNED, ticket, by, row.at, codes={"about": str(about)})
    return row


def signature_of(ticket: Ticket, about: str = Signed.SLIP) -> Signature | None:
    """The slip's is that of the first of several that came together."""
    first = ticket.came_with or ticket if about == Signed.SLIP else ticket
    return Signature.objects.filter(ticket=first, about=about).first()


def drawn_on(signature: Signature | None) -> str:
    """The path to draw; nothing where nobody signed here, or the key is lost."""
    if signature is None:
        return ""
    try:
        path = str(unseal(signature, "sealed"))
    except CannotOpen:
        return ""
    return path if PATH.match(path) else ""
