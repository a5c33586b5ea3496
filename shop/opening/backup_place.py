"""A folder for backups, tried before it is believed: written, read back, tidied."""

import secrets
from pathlib import Path

from django.conf import settings
from django.utils.translation import gettext as _

from shop.records.errors import Refused

FIELD = "backup_place"


def tried(typed: str) -> str:
    """The folder, if a file can be written there and read back; else refused."""
    if not typed:
        return ""
    if "\0" in typed or not Path(typed).is_absolute():
        raise Refused(
            _("Write the whole path of the folder, such as /mnt/backup."), field=FIELD
        )
    folder = Path(typed).resolve()
    data = Path(settings.DATA_DIR).resolve()
    if folder == data or data in folder.parents:
        raise Refused(
            _("That is inside our own data folder: a lost disk would take both."),
            field=FIELD,
        )
    _write_and_read(folder)
    return str(folder)


def _write_and_read(folder: Path) -> None:
    said = secrets.token_bytes(4096)
    trial = folder / f".coldrail-{secrets.token_hex(8)}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        trial.write_bytes(said)
        is_same = trial.read_bytes() == said
        trial.unlink()
    except OSError as error:
        raise Refused(
            _("It can’t be used: %(why)s.") % {"why": error.strerror or error},
            field=FIELD,
        ) from error
    if not is_same:
        raise Refused(_("What was written there came back changed."), field=FIELD)
