"""Confirming what the clock has: a whole day, or a ticket before its invoice."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction
from django.utils.translation import gettext as _

from shop.billing import services as billing
from shop.billing.day_models import ConfirmedDay
from shop.billing.services import Work
from shop.desk.evening import (
    A_MONTH,
    DayFound,
    Evening,
    unconfirmed_of,
)
from shop.desk.evening_forms import Asked
from shop.intake.models import Ticket
from shop.people.models import Person, Shop
from shop.records.errors import Refused


def day_confirm(
    evening: Evening, *, shop: Shop, by: Person, asked: Sequence[Asked]
) -> ConfirmedDay:
    """Record a day as its person says it was."""
    tickets = {block.ticket.pk: block.ticket for block in evening.blocks}
    return billing.day_confirm(
        shop=shop,
        person=evening.person,
        by=by,
        day=evening.day,
        works=[
            Work(
                tickets[one.line.share.ticket],
                one.kind,
                one.minutes,
                one.line.share.start,
            )
            for one in asked
        ],
        seen={(s.ticket, s.kind): s.clock for s in evening.shares},
        round=evening.confirmed.rounds,
        until=evening.until,
    )


@transaction.atomic
def ticket_confirm(*, ticket: Ticket, by: Person, now: datetime) -> list[ConfirmedDay]:
    """Record what clocks have of a ticket, as proposed; only what is plain.

    Past three hours or closing time somebody has to look at it: refused.
    """
    found = unconfirmed_of(ticket, now, back=A_MONTH)
    if not all(one.is_plain for one in found):
        raise Refused(_("Some of this time must be looked at first."))
    return [_part_confirm(one, ticket, by, now) for one in found]


def _part_confirm(
    one: DayFound, ticket: Ticket, by: Person, now: datetime
) -> ConfirmedDay:
    return billing.day_confirm(
        shop=ticket.shop,
        person=Person.objects.get(pk=one.person_id),
        by=by,
        day=one.day,
        works=[Work(ticket, s.kind, s.minutes, s.start) for s in one.shares],
        seen={(s.ticket, s.kind): s.clock for s in one.shares},
        round=one.confirmed.rounds,
        until=now,
        is_whole=False,
    )
