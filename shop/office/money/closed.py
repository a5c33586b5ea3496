"""Money, time and end of the tickets that were closed in a time, added up by SQL.

Of tens of thousands of tickets the database gives sums by board model, and the few
tickets that cost most. What ``shop.office.margin`` says of one ticket holds here of
many: the tests reckon both.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import connection

from shop.office import margins
from shop.office.asked import Asked
from shop.office.margin import MINUTES_AN_HOUR, Margin, Rate, rounded
from shop.office.money.worth import Record
from shop.people.models import Shop

MOST_COSTLY = 10

# Whose money can't be told apart is left out of it: what an account is billed for
# many tickets at once, and what is in a currency that the shop has left.
# A look-up for each ticket and sum: half of what joins and their sorting cost.
PER_TICKET = """
WITH each AS (
    SELECT h.ticket_id, o.kind, o.no_fix_reason,
        CASE WHEN t.currency = %(currency)s AND m.id IS NULL THEN 1 ELSE 0 END AS told,
        (SELECT CASE WHEN MIN(b.board_model_id) = MAX(b.board_model_id)
                THEN MIN(b.board_model_id) END
            FROM diagnostics_ticketboard tb
            JOIN diagnostics_board b ON b.id = tb.board_id
            WHERE tb.ticket_id = h.ticket_id) AS model_id,
        COALESCE((SELECT SUM(i.net_minor) FROM billing_invoice i
            WHERE i.ticket_id = h.ticket_id AND i.currency = %(currency)s), 0) AS net,
        COALESCE((SELECT SUM(p.cost_minor * p.quantity) FROM billing_partuse p
            WHERE p.ticket_id = h.ticket_id AND p.currency = %(currency)s), 0) AS parts,
        COALESCE((SELECT SUM(e.minutes) FROM billing_timeentry e
            WHERE e.ticket_id = h.ticket_id AND e.kind <> 'machine'), 0) AS minutes,
        COALESCE((SELECT SUM(e.minutes * {rate}) FROM billing_timeentry e
            WHERE e.ticket_id = h.ticket_id AND e.kind <> 'machine'), 0) AS cost
    FROM intake_handover h
    JOIN intake_ticket t ON t.id = h.ticket_id
    LEFT JOIN intake_outcome o ON o.ticket_id = h.ticket_id
    LEFT JOIN billing_billedticket m ON m.ticket_id = h.ticket_id
    WHERE t.shop_id = %(shop)s AND NOT h.is_undone
        AND h.at >= %(since)s AND h.at < %(until)s
)
"""
SUMS = """
SELECT '' AS number, model_id, COUNT(*),
    SUM(CASE WHEN kind = 'fixed' THEN 1 ELSE 0 END),
    SUM(CASE WHEN kind = 'no_fix' THEN 1 ELSE 0 END),
    SUM(CASE WHEN kind = 'no_fix' AND no_fix_reason = 'no_part' THEN 1 ELSE 0 END),
    MAX(told * net), SUM(told), SUM(told * net), SUM(told * parts),
    SUM(told * minutes), SUM(told * cost)
FROM each GROUP BY model_id
UNION ALL
SELECT * FROM (
    SELECT t.number, e.model_id, 1, 0, 0, 0, e.net, 1, e.net, e.parts, e.minutes, e.cost
    FROM each e JOIN intake_ticket t ON t.id = e.ticket_id
    WHERE e.told = 1 AND 60 * (e.net - e.parts) < e.cost
    ORDER BY 60 * (e.net - e.parts) - e.cost, e.ticket_id
    LIMIT %(most)s
) AS costly
"""


@dataclass(frozen=True)
class Costly:
    """A ticket that cost more than it brought."""

    number: str
    model: int | None
    margin: Margin


@dataclass(frozen=True)
class Closed:
    """``records`` by board model, ``None`` being no board or boards of several;
    ``costly`` has the worst first, and nobody while no hour has a cost."""

    records: Mapping[int | None, Record]
    costly: Sequence[Costly]


def closed_of(shop: Shop, asked: Asked) -> Closed:
    """Two queries, however many tickets."""
    rates = margins.rates_of(shop)
    is_said = bool(rates) and rates[-1].minor is not None
    said = [one for one in rates if one.minor is not None] if is_said else []
    records, costly = {}, []
    for number, model, *rest in _rows(shop, asked, said):
        closed, fixed, no_fix, no_part, dearest, tickets, *sums = map(int, rest)
        margin = _margin(tickets, *sums, is_said=is_said)
        if not number:
            records[model] = Record(closed, fixed, no_fix, no_part, dearest, margin)
        elif is_said:
            costly.append(Costly(number, model, margin))
    return Closed(records, costly)


def _rows(shop: Shop, asked: Asked, said: Sequence[Rate]) -> list[Sequence[Any]]:
    moment = connection.ops.adapt_datetimefield_value
    values: dict[str, Any] = {
        "shop": shop.pk,
        "currency": shop.currency,
        "since": moment(asked.since),
        "until": moment(asked.until),
        "most": MOST_COSTLY,
    }
    for n, one in enumerate(said):
        values |= {f"rate_{n}": one.minor, f"from_{n}": moment(one.since)}
    with connection.cursor() as cursor:
        # Only names of our own are put together here.
        cursor.execute(PER_TICKET.format(rate=_rate(len(said))) + SUMS, values)
        found: list[Sequence[Any]] = cursor.fetchall()
    return found


def _rate(count: int) -> str:
    """The rate of an hour at a moment; before the first it is the first."""
    if not count:
        return "0"
    later = "".join(
        f" WHEN e.started_at >= %(from_{n})s THEN %(rate_{n})s"
        for n in range(count - 1, 0, -1)
    )
    return f"CASE{later} ELSE %(rate_0)s END" if later else "%(rate_0)s"


def _margin(
    tickets: int, net: int, parts: int, minutes: int, cost: int, *, is_said: bool
) -> Margin:
    """``cost`` is minutes times what an hour costs, summed."""
    labour = rounded(cost, MINUTES_AN_HOUR) if is_said else None
    return Margin(tickets, net, parts, minutes, labour)
