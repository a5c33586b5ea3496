"""How often something was asked within a minute, by all workers together.

The minute begins with the first that is counted. Django's own counting in a database
cache forgets when that was: each count would put the end off.
"""

import time

from django.core.cache import cache

MINUTE = 60


def counted(name: str) -> int:
    """Count one more of ``name``; how many that makes.

    Two at the very same moment may count as one: a limit, no account.
    """
    count, ends = _kept(name)
    cache.set(name, (count + 1, ends), max(1, ends - time.time()))
    return count + 1


def count_of(name: str) -> int:
    """How many were counted; counts nothing."""
    return _kept(name)[0]


def _kept(name: str) -> tuple[int, float]:
    """The count, and when its minute is over; none yet begins one now."""
    now = time.time()
    kept: tuple[int, float] | None = cache.get(name)
    return kept if kept is not None and kept[1] > now else (0, now + MINUTE)
