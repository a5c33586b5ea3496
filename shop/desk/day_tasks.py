"""What the day list asks of the counter: a late part, a new price, a machine left.

They stand above the list with the acts that end them.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import TYPE_CHECKING

from shop.billing import queries as money
from shop.billing.models import OrderLine
from shop.desk.day_unsent import Unsent, unsent
from shop.messaging.panels import Shown, failed_of
from shop.people.models import Shop

if TYPE_CHECKING:
    from shop.desk.day import Row


class TaskKind(StrEnum):
    """Which buttons a task has."""

    PART_LATE = "part_late"
    MESSAGE_FAILED = "message_failed"
    NEW_PRICE = "new_price"
    TELL_READY = "tell_ready"
    NOT_COLLECTED = "not_collected"


@dataclass(frozen=True)
class Task:
    """One ticket that waits for an act of the counter."""

    kind: TaskKind
    row: "Row"
    line: OrderLine | None = None
    message: Shown | None = None


def tasks_of(rows: Sequence["Row"], shop: Shop, now: datetime) -> list[Task | Unsent]:
    """What is late, failed or asked for; who was not told, who was and did not come."""
    by_ticket = {row.ticket.pk: row for row in rows}
    tasks = [Task(_kind(row), row) for row in rows if _is_to_call(row)]
    tasks.sort(
        key=lambda task: (task.kind != TaskKind.TELL_READY, -task.row.silent_for)
    )
    anew = [
        Task(TaskKind.NEW_PRICE, row)
        for row in rows
        if row.turn.waits_for == "new_price_asked"
    ]
    papers = unsent(shop, [row.ticket for row in rows])
    late = _late(by_ticket, shop, now)
    return [*late, *_failed(by_ticket), *papers, *anew, *tasks]


def _failed(by_ticket: Mapping[int, "Row"]) -> list[Task]:
    """Nothing is tried again by itself: a person does, or tells it."""
    return [
        Task(TaskKind.MESSAGE_FAILED, by_ticket[one.message.ticket_id], message=one)
        for one in failed_of(row.ticket for row in by_ticket.values())
        if one.message.ticket_id is not None
    ]


def _late(by_ticket: Mapping[int, "Row"], shop: Shop, now: datetime) -> list[Task]:
    today = now.astimezone(shop.zone).date()
    waiting = [row.ticket for row in by_ticket.values() if row.waits_for_part]
    return [
        Task(TaskKind.PART_LATE, by_ticket[line.ticket_id], line)
        for line in money.orders_late(waiting, today)
        if line.ticket_id is not None
    ]


def _is_to_call(row: "Row") -> bool:
    if row.turn.waits_for == "ready_not_told":
        return True
    is_due = row.contact_late_by or row.is_contact_today
    return row.turn.waits_for == "ready_told" and bool(is_due or row.is_silent)


def _kind(row: "Row") -> TaskKind:
    is_told = row.turn.waits_for == "ready_told"
    return TaskKind.NOT_COLLECTED if is_told else TaskKind.TELL_READY
