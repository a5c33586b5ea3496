"""The texts follow the rows that they are made of, in the transaction of the write.

By Django's signals and not by our events: a text says what its rows say, whichever act
wrote them, those of later rooms too. What an act writes in bulk tells nobody; it calls
``services.texts_renew``. Every night all texts are made anew.
"""

import datetime as dt
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, TypeAlias

from django.apps import AppConfig
from django.db import DEFAULT_DB_ALIAS, connections, models
from django.db.migrations import Migration
from django.db.models.signals import post_delete, post_migrate, post_save

from diagnostics.models import Board, BoardModel, Finding, TicketBoard
from shop.intake.models import Customer, Device, Ticket
from shop.records import jobs
from shop.records.models import Note
from shop.searching import services, sources, trigrams

Row: TypeAlias = Any
Ids: TypeAlias = Iterable[int]
NIGHT = dt.time(3, 40)


def _by(way: str) -> Callable[[Row], Ids]:
    def ids(row: Row) -> Ids:
        return Ticket.objects.filter(**{way: row.pk}).values_list("pk", flat=True)

    return ids


def _of_note(note: Note) -> Ids:
    is_told = note.ticket_id is not None and note.kind in sources.NOTES
    return [note.ticket_id] if is_told and note.ticket_id is not None else []


def _of_finding(finding: Finding) -> Ids:
    return [finding.ticket_id] if finding.ticket_id is not None else []


SOURCES: Mapping[type[models.Model], Callable[[Row], Ids]] = {
    Ticket: lambda row: [row.pk],
    Customer: _by("customer"),
    Device: _by("device"),
    Note: _of_note,
    TicketBoard: lambda row: [row.ticket_id],
    Board: _by("ticket_boards__board"),
    BoardModel: _by("ticket_boards__board__board_model"),
    Finding: _of_finding,
}


def begin() -> None:
    for source in SOURCES:
        post_save.connect(written, sender=source)
        post_delete.connect(written, sender=source)
    post_migrate.connect(anew_after, dispatch_uid="searching")
    jobs.daily("search anew", NIGHT, texts_anew)


def written(
    sender: type[models.Model], instance: models.Model, raw: bool = False, **_more: Any
) -> None:
    if not raw and (ids := list(SOURCES[sender](instance))):
        services.texts_renew(ids)


def anew_after(
    app_config: AppConfig,
    using: str = DEFAULT_DB_ALIAS,
    plan: Sequence[tuple[Migration, bool]] = (),
    **_more: Any,
) -> None:
    """Once all migrations are through; anew, if one of them was the search's."""
    if app_config.label == "searching":
        trigrams.forget_at_once(connections[using])
    is_ours = any(
        step.app_label == "searching" for step, is_back in plan if not is_back
    )
    if app_config.label == "searching" and is_ours:
        services.texts_anew(lambda: True)


def texts_anew() -> None:
    services.texts_anew()
