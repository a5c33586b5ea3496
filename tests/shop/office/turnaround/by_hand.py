"""The figures of turnaround once more, from raw rows in plain Python.

Slow and written anew: it shares no line with ``intake.facts``, ``intake.turn`` or the
office. One list of events in, sums out.
"""

import json
from collections import defaultdict
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

from django.db import connection

# What tells of a ticket's turn; the clock of anything else moves nothing.
TELLING = set(
    "ticket_opened intake_finished intake_answered warranty_decided board_joined"
    " board_taken board_put_down suspect_named finding_confirmed intervention_done"
    " proof_given quote_sent quote_accepted quote_declined part_ordered part_arrived"
    " order_put_off order_ended notice_given parked unparked promise_made customer_told"
    " message_sent outcome_recorded invoice_issued credit_note_issued payment_taken"
    " ticket_closed".split()
)
PLACES = ("queue", "hands", "parked", "customer", "supplier", "handover")


@dataclass
class Way:
    """One ticket: when it began and ended, and its seconds in each place."""

    opened: int
    closed: int | None
    spent: dict[str, int]
    place: str
    number: str = ""
    is_warranty: bool = False


@dataclass
class State:
    held: dict[Any, Any] = field(default_factory=dict)  # board: person
    parked_for: str = ""
    parked_why: str = ""
    parked_until: datetime | None = None
    quote: Any = None
    has_quote: bool = False
    orders: set[Any] = field(default_factory=set)
    outcome: bool = False
    invoices: int = 0
    closed: bool = False

    def place(self) -> str:
        if self.outcome or self.invoices > 0:
            return "handover"
        if self.parked_for:
            return {"customer": "customer", "specialist": "supplier"}.get(
                self.parked_for, "parked"
            )
        if self.has_quote:
            return "customer"
        if self.orders:
            return "supplier"
        return "hands" if self.held else "queue"

    def unpark(self) -> None:
        self.parked_for, self.parked_why, self.parked_until = "", "", None

    def hear(self, row: dict[str, Any]) -> None:  # noqa: C901, PLR0912  one long list
        kind, codes, ids = row["kind"], row["codes"], row["ids"]
        if kind == "board_taken" and self.parked_why != "found_more":
            person = row["person_id"]
            self.held = {b: p for b, p in self.held.items() if p != person}
            self.held[row["board_id"]] = person
            self.unpark()
        elif kind == "board_put_down":
            self.held.pop(row["board_id"], None)
        elif kind == "parked":
            self.parked_for = codes["waits_for"]
            self.parked_why = codes.get("because", "")
            until = codes.get("until")
            self.parked_until = datetime.fromisoformat(until) if until else None
            self.held = {}
        elif kind == "unparked":
            self.unpark()
        elif kind == "quote_sent":
            self.has_quote, self.quote = True, ids.get("version", codes.get("version"))
        elif kind in {"quote_accepted", "quote_declined"}:
            if self.quote == ids.get("version"):
                self.has_quote = False
            if self.parked_why == "found_more":
                self.unpark()
        elif kind == "part_ordered":
            self.orders.add(ids.get("order_line"))
        elif kind in {"part_arrived", "order_ended"}:
            self.orders.discard(ids.get("order_line"))
        elif kind == "outcome_recorded":
            self.outcome, self.held = True, {}
        elif kind == "invoice_issued":
            self.invoices, self.held = self.invoices + 1, {}
        elif kind == "credit_note_issued":
            self.invoices = max(0, self.invoices - 1)
        elif kind == "ticket_closed":
            self.closed = True


def rows(sql: str) -> list[dict[str, Any]]:
    with connection.cursor() as cursor:
        cursor.execute(sql)
        names = [column[0] for column in cursor.description]
        return [dict(zip(names, row, strict=True)) for row in cursor.fetchall()]


def moment(value: str | datetime) -> datetime:
    at = datetime.fromisoformat(value) if isinstance(value, str) else value
    return at if at.tzinfo else at.replace(tzinfo=UTC)


def whole(at: datetime) -> int:
    return int(at.timestamp() // 1)


def walked(events: list[dict[str, Any]], now: datetime) -> Way:
    """One ticket from its first event on, a stretch at a time."""
    at = moment(events[0]["at"])
    way = Way(whole(at), None, dict.fromkeys(PLACES, 0), "queue")
    state = State()

    def spend(until: datetime) -> None:
        nonlocal at
        over = state.parked_until
        if over is not None and over <= until:
            way.spent[state.place()] += whole(max(over, at)) - whole(at)
            at = max(over, at)
            state.unpark()
        way.spent[state.place()] += whole(until) - whole(at)
        at = until

    for event in events:
        spend(max(at, moment(event["at"])))
        state.hear(event)
        if state.closed:
            way.closed = whole(at)
            return way
    spend(max(at, now))
    way.place = state.place()
    return way


def ways(now: datetime) -> dict[int, Way]:
    """Every ticket of the database, by its id."""
    told = defaultdict(list)
    for row in rows("SELECT * FROM records_event ORDER BY id"):
        if row["ticket_id"] is not None and row["kind"] in TELLING:
            for name in ("codes", "ids"):
                if isinstance(row[name], str):
                    row[name] = json.loads(row[name])
            told[row["ticket_id"]].append(row)
    found = {pk: walked(events, now) for pk, events in told.items()}
    for row in rows("SELECT id, number, intake_kind FROM intake_ticket"):
        found[row["id"]].number = row["number"]
        found[row["id"]].is_warranty = row["intake_kind"] == "warranty"
    return found


def product_limit(told: list[tuple[float, bool]], share: float) -> float | None:
    """By when that share was done, by the product formula; ``None``: not reached."""
    left = 1.0
    for at in sorted({took for took, is_done in told if is_done}):
        there = sum(took >= at for took, _is_done in told)
        left *= 1 - sum(took == at and is_done for took, is_done in told) / there
        if left <= 1 - share + 1e-12:
            return at
    return None
