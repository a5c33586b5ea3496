"""Hours of closed tickets: logged, billed by the hour, and lost; added up by SQL.

An invoice bills a kind of work, not a person: what is billed of a ticket's kind is
shared among its people by what they logged.
"""

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from typing import Any, TypeVar

from django.db import connection

from shop.office.asked import Asked
from shop.people.models import Shop

# Lines with a price alone: what was done free, or under warranty, is not billed.
HOURS = """
WITH closed AS (
    SELECT h.ticket_id, CASE WHEN o.kind = 'no_fix' THEN 1 ELSE 0 END AS no_fix,
        CASE WHEN MIN(bm.family) = MAX(bm.family) THEN MIN(bm.family) END AS family
    FROM intake_handover h
    JOIN intake_ticket t ON t.id = h.ticket_id
    LEFT JOIN intake_outcome o ON o.ticket_id = h.ticket_id
    LEFT JOIN billing_billedticket m ON m.ticket_id = h.ticket_id
    LEFT JOIN diagnostics_ticketboard tb ON tb.ticket_id = h.ticket_id
    LEFT JOIN diagnostics_board b ON b.id = tb.board_id
    LEFT JOIN diagnostics_boardmodel bm ON bm.id = b.board_model_id
    WHERE t.shop_id = %(shop)s AND NOT h.is_undone AND m.id IS NULL
        AND h.at >= %(since)s AND h.at < %(until)s
    GROUP BY h.ticket_id, o.kind
), logged AS (
    SELECT e.ticket_id, e.kind, e.person_id, c.no_fix, c.family,
        SUM(e.minutes) AS minutes
    FROM closed c JOIN billing_timeentry e ON e.ticket_id = c.ticket_id
    WHERE e.kind <> 'machine'
    GROUP BY e.ticket_id, e.kind, e.person_id, c.no_fix, c.family
), whole AS (
    SELECT ticket_id, kind, MIN(person_id) AS person_id, SUM(minutes) AS minutes
    FROM logged GROUP BY ticket_id, kind
), billed AS (
    SELECT i.ticket_id, SUBSTR(l.code, 8) AS kind,
        SUM(l.quantity_thousandths) / 1000.0 AS minutes
    FROM closed c
    JOIN billing_invoice i ON i.ticket_id = c.ticket_id
    JOIN billing_invoiceline l ON l.invoice_id = i.id
    WHERE l.code LIKE 'labour.%%' AND l.unit = 'MIN' AND l.net_minor <> 0
    GROUP BY i.ticket_id, l.code
)
SELECT w.person_id, w.kind, w.no_fix, w.family, COUNT(*),
    SUM(CASE WHEN w.person_id = whole.person_id THEN 1 ELSE 0 END), SUM(w.minutes),
    SUM(CASE WHEN whole.minutes > 0
        THEN billed.minutes * w.minutes / whole.minutes ELSE 0 END)
FROM logged w
JOIN whole ON whole.ticket_id = w.ticket_id AND whole.kind = w.kind
LEFT JOIN billed ON billed.ticket_id = w.ticket_id AND billed.kind = w.kind
GROUP BY w.person_id, w.kind, w.no_fix, w.family
"""


@dataclass(frozen=True)
class Work:
    """Minutes of one person's kind of work on boards of one family.

    ``family`` is None without a board and with boards of several; ``is_no_fix``: the
    tickets ended as not to be mended. ``firsts`` are those of the ``tickets`` that
    count for this person where a kind's tickets are added up over people.
    """

    person: int
    kind: str
    is_no_fix: bool
    family: str | None
    tickets: int
    firsts: int
    logged: float
    billed: float

    def __add__(self, other: "Work") -> "Work":
        return Work(
            self.person,
            self.kind,
            self.is_no_fix,
            self.family,
            self.tickets + other.tickets,
            self.firsts + other.firsts,
            self.logged + other.logged,
            self.billed + other.billed,
        )


def work_of(shop: Shop, asked: Asked) -> list[Work]:
    moment = connection.ops.adapt_datetimefield_value
    values = {
        "shop": shop.pk,
        "since": moment(asked.since),
        "until": moment(asked.until),
    }
    with connection.cursor() as cursor:
        cursor.execute(HOURS, values)
        rows: Sequence[Sequence[Any]] = cursor.fetchall()
    return [
        Work(
            person,
            kind,
            bool(no_fix),
            family,
            tickets,
            firsts,
            float(logged),
            float(billed or 0),
        )
        for person, kind, no_fix, family, tickets, firsts, logged, billed in rows
    ]


Key = TypeVar("Key", bound=Hashable)


def added(work: Sequence[Work], by: Callable[[Work], Key]) -> dict[Key, Work]:
    found: dict[Key, Work] = {}
    for one in work:
        key = by(one)
        found[key] = found[key] + one if key in found else one
    return found


def tickets_at_least(work: Sequence[Work]) -> int:
    """Tickets of the kind of work that has most of them: there are no fewer."""
    each = added(work, lambda one: one.kind).values()
    return max((one.firsts for one in each), default=0)
