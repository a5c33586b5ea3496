"""How often something was asked within about a minute, by all workers together."""

from django.core.cache import cache

MINUTE = 60


def counted(name: str) -> int:
    """Count one more of ``name``; how many that makes."""
    cache.add(name, 0, MINUTE)
    try:
        return cache.incr(name)
    except ValueError:  # it ran out between the two
        cache.set(name, 1, MINUTE)
        return 1


def count_of(name: str) -> int:
    """How many were counted; counts nothing."""
    return int(cache.get(name, 0))
