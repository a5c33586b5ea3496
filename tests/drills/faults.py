"""What a drill finds wrong afterwards, in words. PURE."""

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import TypeVar

Key = TypeVar("Key", int, str)


def not_one_to_k(what: str, serials: Iterable[int]) -> Iterator[str]:
    """Numbers that are not exactly 1 to k: each gap, each twin."""
    counts = Counter(serials)
    for serial in range(1, max(counts, default=0) + 1):
        if counts[serial] != 1:
            yield f"{what} {serial} is there {counts[serial]} times"
    yield from (f"{what} {serial} is no number" for serial in counts if serial < 1)


def not_kept(what: str, acknowledged: Iterable[Key], kept: Iterable[Key]) -> list[str]:
    """What was acknowledged and is not in the database."""
    missing = sorted(set(acknowledged) - set(kept))
    return [f"{what} {one} was acknowledged and is gone" for one in missing]


def not_exactly_once(
    what: str, acknowledged: Sequence[Key], kept: Sequence[Key]
) -> Iterator[str]:
    """Everything acknowledged is there once, in order, and nothing else is."""
    yield from not_kept(what, acknowledged, kept)
    counts = Counter(kept)
    yield from (
        f"{what} {one} is there {n} times" for one, n in counts.items() if n > 1
    )
    unasked = sorted(set(kept) - set(acknowledged))
    yield from (f"{what} {one} was never acknowledged" for one in unasked)
    is_whole = sorted(kept) == sorted(acknowledged)
    if is_whole and list(kept) != list(acknowledged):
        yield f"{what}s are kept in another order"
