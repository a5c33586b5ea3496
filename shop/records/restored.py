"""What a room does after a backup was put back, before anybody works with it.

Rooms register in ``AppConfig.ready``; ``shop/keeping/finishing.py`` calls them in one
transaction. Each says how many rows it touched, under its name in the record.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path


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


def after(name: str, act: Act) -> None:
    if name in ACTS:
        raise ValueError(f"Two acts after a restore are called {name}.")
    ACTS[name] = act
