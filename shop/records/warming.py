"""What is made ready before the processes that serve part from the first one.

Each of them has it from the start then, and nobody waits for it at the first page.
"""

import logging
from collections.abc import Callable

log = logging.getLogger("shop.records")

_acts: list[Callable[[], object]] = []


def before_serving(act: Callable[[], object]) -> None:
    """A room makes something ready; it asks the database where it likes."""
    _acts.append(act)


def make_ready() -> bool:
    """All of it; whether there was any. What fails is made at the first page."""
    for act in _acts:
        try:
            act()
        except Exception:
            log.exception("Not made ready: %s", act)
    return bool(_acts)
