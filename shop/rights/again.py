"""Who was erased stays erased, even when an older backup is put back.

A list beside the backups, wherever they lie, says which customers' rows were erased,
by number and first moment: it names nobody, and is of no other database. The night's
work erases again whom it finds named.
"""

import logging
from collections.abc import Iterable, Iterator
from datetime import datetime
from pathlib import Path

from shop.intake.models import Customer
from shop.keeping import copies
from shop.keeping.place import backup_place, here
from shop.records import restored
from shop.records.errors import Refused
from shop.records.restored import Restored
from shop.rights.erasing import customer_erase

log = logging.getLogger(__name__)
NAME = "erased.list"


def note_erased() -> None:
    """Put everybody who is erased on the lists; logged where one can't be written."""
    erased = Customer.objects.exclude(erased_at=None).order_by("pk")
    lines = [_line(row) for row in erased]
    if not lines:
        return
    for folder in folders():
        try:
            restored.lines_add(folder / NAME, lines)
        except OSError as error:
            log.error("The list of who was erased is not written: %s", error)


def folders() -> Iterator[Path]:
    """Every place that a backup is put back from; this machine's is made for it."""
    try:
        place = backup_place()
    except Refused as refusal:
        log.error("The list of who was erased is not there: %s", refusal)
        place = here()
    for folder in (place, *copies.further(place)):
        if folder == here():
            folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        yield folder


def after_restore(about: Restored) -> int:
    """Who was erased since the backup was made is erased before anybody looks."""
    return _erase_listed([about.beside])


def erase_again() -> int:
    """Erase whom a list has and the database still names; how many."""
    return _erase_listed(folders())


def _erase_listed(where: Iterable[Path]) -> int:
    lines = dict[str, None]()
    for folder in where:
        try:
            lines |= dict.fromkeys(restored.lines_of(folder / NAME))
        except OSError as error:
            log.error("The list of who was erased can't be read: %s", error)
    return sum(_erased_again(line) for line in lines)


def _erased_again(line: str) -> bool:
    pk, _blank, since = line.partition(" ")
    try:
        told = {"pk": int(pk), "since": datetime.fromisoformat(since)}
    except ValueError:
        log.error("The list of who was erased has a line that is none: %r", line)
        return False
    row = Customer.objects.filter(**told, erased_at=None).first()
    if row is None:
        return False
    try:
        customer_erase(customer=row, by=None, because="erased_before")
    except Refused:  # a ticket of that backup is open: the next night asks again
        log.error("Customer %s was erased once and can't be erased again now.", pk)
        return False
    return True


def _line(row: Customer) -> str:
    return f"{row.pk} {row.since.isoformat()}"
