"""Reads of the bench for the owner's figures: of many tickets at once, by ticket id."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from django.db.models import Min
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from diagnostics import bridge, sayings
from diagnostics.engine.kernels import COLD
from diagnostics.models import Finding, Reading, TicketBoard
from diagnostics.settling import LEADS
from diagnostics.words import plain
from shop.records.kinds import Kind
from shop.records.models import Event

NOT_FOUND = "not_found"
# The classes of ways of failing, as the plain words have them.
CLASSES = (
    (plain.SHORT, "short"),
    (plain.LEAK, "leak"),
    (plain.OPEN, "open"),
    (plain.CORRODED, "corroded"),
    (plain.WORN, "worn"),
    (plain.WEAK, "weak"),
    (plain.CONTENTS, "contents"),
    (plain.DEAD, "dead"),
)
TITLES: Mapping[str, str | Promise] = {
    "short": _("A short"),
    "leak": _("A leak of current"),
    "open": _("A break"),
    "corroded": _("Corrosion"),
    "worn": _("Something worn out"),
    "weak": _("Something too weak"),
    "contents": _("Damaged contents"),
    "dead": _("Something that does not work"),
    NOT_FOUND: _("No cause found"),
}


def first_cold_readings(ticket_ids: Sequence[int]) -> dict[int, datetime]:
    """When the first ohms or junction of each board was read, unless it was struck.

    The leads' own ohms are no reading of a board.
    """
    struck = Event.objects.filter(
        ticket_id__in=ticket_ids, kind=Kind.READING_STRUCK, reading_id__isnull=False
    )
    rows = Reading.objects.filter(ticket_id__in=ticket_ids, mode__in=COLD)
    rows = rows.exclude(check_id=LEADS).exclude(pk__in=struck.values("reading_id"))
    first = rows.order_by().values_list("ticket_id").annotate(first=Min("taken_at"))
    return {pk: at for pk, at in first if pk is not None}


def family_codes(ticket_ids: Sequence[int]) -> dict[int, str]:
    """The family of each ticket's board; the first of several boards."""
    rows = TicketBoard.objects.filter(ticket_id__in=ticket_ids).order_by("-id")
    return dict(rows.values_list("ticket_id", "board__board_model__family"))


def family_title(code: str) -> str:
    return sayings.family_text(bridge.family_name(code))


def found_classes(ticket_ids: Sequence[int]) -> dict[int, str]:
    """How the part failed that was found, by ``CLASSES``; a proven one first."""
    rows = Finding.objects.filter(ticket_id__in=ticket_ids)
    columns = ("ticket_id", "cause", "part_id", "mode_id")
    found = rows.order_by("is_proven", "id").values_list(*columns)
    return {
        pk: _class_of(part, mode) if cause == Finding.Cause.PART else NOT_FOUND
        for pk, cause, part, mode in found
        if pk is not None
    }


def found_title(code: str) -> str:
    return str(TITLES[code])


def _class_of(part: str, mode: str) -> str:
    way = plain.OF_PART.get((part, mode)) or plain.WAYS.get(mode, plain.DEAD)
    return next(code for known, code in CLASSES if known is way)
