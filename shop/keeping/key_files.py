"""The installation's own keys, as a backup takes them along.

Without them a restored shop would have lost its second factors, PINs, passcodes and
the codes on printed slips, and every tablet would have to trust it anew. So the files
of the data folder go into the backup, sealed like the rest of it by the recovery key:
a stolen backup alone opens none of them. What the environment gives (``SECRET_KEY``,
``COLDRAIL_FIELD_KEYS``, ``COLDRAIL_BACKUP_KEY``) is whose it is and stays out; of it
only a mark is kept, by which a restore knows whether it was given again.
"""

from dataclasses import dataclass
from pathlib import Path

from django.conf import settings

from shop.keeping.sealed import derived
from shop.records import field_keys

MARK_BYTES = 8
SECRET, FIELDS, RECOVERY = "secret_key", "field_keys", "backup_keys"
AUTHORITY = ("tls/authority.pem", "tls/authority.crt")
NAMES = (SECRET, FIELDS, RECOVERY, *AUTHORITY)


@dataclass(frozen=True)
class Marks:
    """By what sealed columns and signed words are opened; tells nothing of the keys."""

    secret: str
    fields: list[str]


def mark_of(key: str) -> str:
    return derived(key.encode(), None, b"coldrail key mark", MARK_BYTES).hex()


def marks() -> Marks:
    """Of the keys in force here and now."""
    return Marks(mark_of(settings.SECRET_KEY), [mark_of(k) for k in field_keys.kept()])


def place_of(name: str) -> Path:
    """Where this installation has that file."""
    if name in AUTHORITY:
        return Path(settings.TLS_DIR) / Path(name).name
    places = {FIELDS: settings.FIELD_KEYS_FILE, RECOVERY: settings.BACKUP_KEYS}
    return Path(places.get(name, Path(settings.DATA_DIR) / name))


def in_force() -> dict[str, Path]:
    """The files that are there and that the environment does not overrule."""
    return {
        name: place
        for name in NAMES
        if (place := place_of(name)).is_file() and not is_overruled(name)
    }


def is_overruled(name: str) -> bool:
    """Whether the environment gives that key, whatever the file holds."""
    if name == SECRET:
        file = place_of(name)
        return not file.exists() or file.read_text().strip() != settings.SECRET_KEY
    return name == FIELDS and bool(settings.FIELD_KEYS)
