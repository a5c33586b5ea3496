"""Every row that the services wrote for one ticket, ready to be copied.

A copy has the same columns with new keys: the old key plus so many strides. All
tables move by the same stride, so that a reference follows its row without a
look-up. Rows of the shop itself (people, terms, stock) keep their keys.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db import models

from diagnostics.models import (
    Advice,
    Board,
    Finding,
    Intervention,
    MachineEnd,
    MachineRun,
    ProofItem,
    Reading,
    Sighting,
    TicketBoard,
)
from shop.billing.models import (
    Invoice,
    InvoiceLine,
    InvoiceTax,
    OrderLine,
    PartUse,
    Payment,
    Quote,
    QuoteAnswer,
    QuoteLine,
    StockMove,
    TimeEntry,
)
from shop.intake.models import (
    Consent,
    Customer,
    Device,
    Handover,
    Outcome,
    Thing,
    Ticket,
)
from shop.intake.slip_models import SlipLink
from shop.records.models import Event, Note, OutgoingMessage
from shop.searching.models import TicketText

Row = dict[str, Any]
Table = type[models.Model]

# Each table with its way to the ticket, what is referred to before what refers.
OWNED: Mapping[Table, str] = {
    Customer: "tickets",
    Device: "tickets",
    Ticket: "pk",
    TicketText: "ticket",
    SlipLink: "ticket",
    Thing: "ticket",
    Consent: "ticket",
    Note: "ticket_id",
    Outcome: "ticket",
    Handover: "ticket",
    Board: "ticket_boards__ticket",
    TicketBoard: "ticket",
    Reading: "ticket",
    Sighting: "ticket",
    Intervention: "ticket",
    Finding: "ticket",
    Advice: "ticket",
    ProofItem: "ticket",
    MachineRun: "ticket",
    MachineEnd: "run__ticket",
    TimeEntry: "ticket",
    StockMove: "ticket",
    PartUse: "ticket",
    OrderLine: "ticket",
    Quote: "ticket",
    QuoteLine: "quote__ticket",
    QuoteAnswer: "quote__ticket",
    Invoice: "ticket",
    InvoiceLine: "invoice__ticket",
    InvoiceTax: "invoice__ticket",
    Payment: "ticket",
    Event: "ticket_id",
    OutgoingMessage: "ticket_id",
}
# What no copy may share, and need not have.
UNIQUE: Mapping[Table, Row] = {QuoteAnswer: {"of_version": None}}
# Of records, which knows no table.
BY_NUMBER = {"ticket_id", "board_id", "reading_id", "about_event_id"}
# What an event's ids say that is no key of a row.
NO_KEYS = {"number", "version", "epoch", "tag"}


@dataclass(frozen=True)
class Columns:
    """Which columns of a table change in a copy."""

    keys: tuple[str, ...]
    times: tuple[str, ...]


@dataclass(frozen=True)
class Pattern:
    rows: Mapping[Table, tuple[Row, ...]]

    @property
    def is_closed(self) -> bool:
        return bool(self.rows[Handover])

    @property
    def readings(self) -> tuple[Row, ...]:
        return self.rows[Reading]


def pattern_of(ticket: Ticket) -> Pattern:
    return Pattern(
        {
            table: tuple(
                row | UNIQUE.get(table, {})
                for row in table._default_manager.filter(**{way: ticket.pk})
                .order_by("pk")
                .values(*(f.attname for f in table._meta.concrete_fields))
            )
            for table, way in OWNED.items()
        }
    )


def columns_of(table: Table) -> Columns:
    fields = table._meta.concrete_fields
    return Columns(
        keys=tuple(f.attname for f in fields if is_own_key(table, f)),
        times=tuple(f.attname for f in fields if isinstance(f, models.DateField)),
    )


def is_own_key(table: Table, field: "models.Field[Any, Any]") -> bool:
    if field.primary_key or field.related_model in OWNED:
        return True
    is_of_records = table in {Event, Note, OutgoingMessage}
    return is_of_records and field.attname in BY_NUMBER


def moved(
    row: Row, columns: Columns, strides: int, earlier: timedelta
) -> Iterator[tuple[str, int | date]]:
    """The columns of a row that a copy changes: its keys and its times."""
    for name in columns.keys:
        if row[name] is not None:
            yield name, row[name] + strides
    for name in columns.times:
        if row[name] is not None:
            yield name, row[name] - earlier


def moved_ids(ids: Mapping[str, Any], strides: int, number: str) -> Row:
    """An event's ids: keys of copied rows, and the ticket's number."""
    return {
        name: number if name == "number" else told + strides * (name not in NO_KEYS)
        for name, told in ids.items()
    }
