"""What a room does after a backup was put back, before anybody works with it.

Rooms register in ``AppConfig.ready``; ``shop/keeping/finishing.py`` calls them in one
transaction. Each says how many rows it touched, under its name in the record.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from shop.records import own_files


@dataclass(frozen=True)
class Restored:
    """``beside`` is the folder that the backup lay in; ``made_at``, when it was made.

    ``has_keys``: the installation's keys came back with it.
    """

    beside: Path
    made_at: datetime
    has_keys: bool


Act = Callable[[Restored], int]
ACTS: dict[str, Act] = {}
# Lists of lines that lie beside the backups and come along with one that is put back.
LISTS: set[str] = set()


def after(name: str, act: Act) -> None:
    if name in ACTS:
        raise ValueError(f"Two acts after a restore are called {name}.")
    ACTS[name] = act


def lines_of(file: Path) -> list[str]:
    return file.read_text(encoding="utf-8").splitlines() if file.exists() else []


def lines_add(file: Path, lines: Sequence[str]) -> None:
    """Those that the list has not yet, whole or not at all."""
    known = lines_of(file)
    if new := [line for line in dict.fromkeys(lines) if line not in known]:
        text = "".join(f"{line}\n" for line in [*known, *new])
        own_files.put(file, text.encode())
