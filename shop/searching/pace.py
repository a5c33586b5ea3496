"""How often one person may ask: more than anybody types, less than a script does.

Counted by each process for itself, so that asking writes nothing. Whoever is faster is
told to wait a moment; whole ticket numbers and scans always lead on.
"""

import time

from shop.records.cache import cache

MOST, SECONDS = 60, 10


def may_ask(person_id: int) -> bool:
    key = f"searching-{person_id}-{int(time.time()) // SECONDS}"
    cache.add(key, 0, SECONDS)
    try:
        asked: int = cache.incr(key)
    except ValueError:  # it ended in between
        return True
    return asked <= MOST
