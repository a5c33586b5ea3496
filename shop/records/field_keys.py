"""The keys of the sealed columns: from the environment, or a file of our own.

Never in the database, so never in its copies. ``COLDRAIL_FIELD_KEYS`` (several with
commas, the newest first) goes before the file ``field_keys`` of the data folder, which
is made once and readable by its owner alone. The file is read at each use: a key that
was just added counts in every worker at once.
"""

import os
import stat
import tempfile
from collections.abc import Sequence
from pathlib import Path

from cryptography.fernet import Fernet
from django.conf import settings

OWN_EYES = stat.S_IRUSR | stat.S_IWUSR


class KeysFromOutside(Exception):
    """The keys come from the environment: only who sets it can change them."""


def kept() -> list[str]:
    """The keys, newest first. Never none."""
    if settings.FIELD_KEYS:
        return list(settings.FIELD_KEYS)
    path: Path = settings.FIELD_KEYS_FILE
    if not path.exists():
        _write([new()], path, is_first=True)
    return path.read_text().split()


def new() -> str:
    return Fernet.generate_key().decode()


def add() -> None:
    """A new key goes before the others: from now on it seals."""
    _change([new(), *kept()])


def drop_older() -> int:
    """Only the newest key is left; returns how many went."""
    newest, *older = kept()
    if older:
        _change([newest])
    return len(older)


def _change(keys: Sequence[str]) -> None:
    if settings.FIELD_KEYS:
        raise KeysFromOutside
    _write(keys, settings.FIELD_KEYS_FILE)


def _write(keys: Sequence[str], path: Path, *, is_first: bool = False) -> None:
    """All at once or not at all; of two who make the first file, one does."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    new_file = Path(name)
    try:
        with os.fdopen(handle, "w") as file:
            file.write("\n".join(keys) + "\n")
            file.flush()
            os.fsync(file.fileno())
        new_file.chmod(OWN_EYES)
        if not is_first:
            new_file.replace(path)
        elif not path.exists():
            _link(new_file, path)
    finally:
        new_file.unlink(missing_ok=True)


def _link(new_file: Path, path: Path) -> None:
    try:
        path.hardlink_to(new_file)
    except FileExistsError:
        return
