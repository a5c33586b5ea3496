"""Since when customers know that their machine is ready."""

from collections.abc import Collection
from datetime import datetime

from shop.intake.facts import SAYS_READY, SENT_TO_A_FILE
from shop.intake.models import Ticket
from shop.records.kinds import Kind
from shop.records.models import Event

KINDS = [Kind.OUTCOME_RECORDED, Kind.CUSTOMER_TOLD, Kind.MESSAGE_SENT]


def ready_since(tickets: Collection[Ticket]) -> dict[int, datetime]:
    """The first word that it is ready, by ticket id; none where none was given."""
    ended: set[int] = set()
    since: dict[int, datetime] = {}
    rows = Event.objects.filter(
        ticket_id__in=[ticket.pk for ticket in tickets], kind__in=KINDS
    ).order_by("id")
    for pk, kind, at, codes in rows.values_list("ticket_id", "kind", "at", "codes"):
        if pk is None:
            continue
        if kind == Kind.OUTCOME_RECORDED:
            ended.add(pk)
        elif pk in ended and (kind == Kind.CUSTOMER_TOLD or _says_ready(codes)):
            since.setdefault(pk, at)
    return since


def _says_ready(codes: dict[str, str]) -> bool:
    is_out = codes.get("sent_by") != SENT_TO_A_FILE
    return is_out and codes.get("about") in SAYS_READY
