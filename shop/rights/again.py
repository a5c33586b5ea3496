"""Who was erased stays erased, even when an older backup is put back.

A list beside the backups says which customers' rows were erased, by number and first
moment: it names nobody, and is of no other database. The night's work erases again
whom it finds named.
"""

import logging
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from shop.intake.models import Customer
from shop.keeping.place import backup_place
from shop.records import own_files
from shop.records.errors import Refused
from shop.records.restored import Restored
from shop.rights.erasing import customer_erase

log = logging.getLogger(__name__)
NAME = "erased.list"


def list_file() -> Path:
    return backup_place() / NAME


def note_erased() -> None:
    """Put everybody who is erased on the list; logged where it can't be written now."""
    erased = Customer.objects.exclude(erased_at=None).order_by("pk")
    try:
        known = _lines(list_file())
        new = [line for row in erased if (line := _line(row)) not in known]
        if new:
            text = "".join(f"{line}\n" for line in [*known, *new])
            own_files.put(list_file(), text.encode())
    except (OSError, Refused) as error:
        log.error("The list of who was erased is not written: %s", error)


def after_restore(about: Restored) -> int:
    """Who was erased since the backup was made is erased before anybody looks."""
    return _erase_listed(lambda: about.beside / NAME)


def erase_again() -> int:
    """Erase whom the list has and the database still names; how many."""
    return _erase_listed(list_file)


def _erase_listed(where: Callable[[], Path]) -> int:
    try:
        lines = _lines(where())
    except (OSError, Refused) as error:
        log.error("The list of who was erased can't be read: %s", error)
        return 0
    return sum(_erased_again(line) for line in lines)


def _erased_again(line: str) -> bool:
    pk, _blank, since = line.partition(" ")
    row = Customer.objects.filter(
        pk=int(pk), since=datetime.fromisoformat(since), erased_at=None
    ).first()
    if row is None:
        return False
    try:
        customer_erase(customer=row, by=None, because="erased_before")
    except Refused:  # a ticket of that backup is open: the next night asks again
        log.error("Customer %s was erased once and can't be erased again now.", pk)
        return False
    return True


def _lines(file: Path) -> list[str]:
    return file.read_text(encoding="utf-8").splitlines() if file.exists() else []


def _line(row: Customer) -> str:
    return f"{row.pk} {row.since.isoformat()}"
