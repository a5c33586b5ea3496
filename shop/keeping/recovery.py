"""The recovery key: without it no backup opens, so it is told to a person.

160 random bits in the letters of RFC 4648's base 32, with four letters more that
catch a slip of the pen. It is kept beside the data for the nightly run, readable by
its owner alone; older keys stay, so that older backups still open. More than one
machine: the same ``COLDRAIL_BACKUP_KEY`` in the environment of each.
"""

import base64
import hashlib
import os
import secrets
import tempfile
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.utils.translation import gettext as _

from shop.records.errors import Refused

SECRET_BYTES = 20
CHECK_LETTERS = 4
TOLD, UNTOLD = "told", "untold"
MISREAD = str.maketrans("018", "OIB")  # base 32 has none of these digits


@dataclass(frozen=True)
class Key:
    secret: bytes
    is_told: bool

    def __str__(self) -> str:
        letters = letters_of(self.secret)
        return "-".join(letters[n : n + 4] for n in range(0, len(letters), 4))


def letters_of(secret: bytes) -> str:
    check = hashlib.sha256(b"coldrail recovery key" + secret).digest()
    told = base64.b32encode(secret) + base64.b32encode(check)[:CHECK_LETTERS]
    return told.decode()


def secret_of(typed: str) -> bytes:
    """A key as a person types it. Refused where a letter is wrong."""
    letters = "".join(typed.upper().split()).replace("-", "").translate(MISREAD)
    try:
        secret = base64.b32decode(letters[:-CHECK_LETTERS])
    except ValueError:
        secret = b""
    if len(secret) != SECRET_BYTES or letters_of(secret) != letters:
        raise Refused(_("This is no recovery key: a letter is wrong or missing."))
    return secret


def file() -> Path:
    return Path(settings.BACKUP_KEYS)


def known() -> list[Key]:
    """Every key of this machine; the last one seals."""
    found = []
    if file().exists():
        for line in file().read_text(encoding="ascii").splitlines():
            letters, _space, told = line.partition(" ")
            found.append(Key(secret_of(letters), told == TOLD))
    if settings.BACKUP_KEY:
        found.append(Key(secret_of(settings.BACKUP_KEY), is_told=True))
    return found


def is_from_outside() -> bool:
    return bool(settings.BACKUP_KEY)


def key_make(*, is_told: bool) -> Key:
    """A new key for the backups from now on."""
    if is_from_outside():
        raise Refused(
            _("The recovery key comes from COLDRAIL_BACKUP_KEY: change it there.")
        )
    key = Key(secrets.token_bytes(SECRET_BYTES), is_told)
    _write([*known(), key])
    return key


def all_told() -> None:
    """A person has seen them."""
    if file().exists():
        _write([Key(one.secret, True) for one in known()])


def _write(keys: list[Key]) -> None:
    """The whole file anew, readable by its owner alone from the first byte on."""
    file().parent.mkdir(parents=True, exist_ok=True)
    handle, part = tempfile.mkstemp(dir=file().parent)
    with os.fdopen(handle, "w", encoding="ascii") as target:
        for key in keys:
            target.write(f"{key} {TOLD if key.is_told else UNTOLD}\n")
        target.flush()
        os.fsync(target.fileno())
    Path(part).replace(file())
