"""How old a machine is, by the year it was made or bought. PURE."""

from datetime import date

EARLIEST = 1990  # our own: no board that a shop still repairs is older


def may_be(year: int, today: date) -> bool:
    """Whether a machine can be of that year.

    >>> [may_be(year, date(2026, 1, 2)) for year in (1989, 1990, 2026, 2027)]
    [False, True, True, False]
    """
    return EARLIEST <= year <= today.year


def years_old(year: int | None, today: date) -> int | None:
    """Its age in whole calendar years; None where nobody knows the year.

    >>> years_old(2019, date(2026, 1, 2)), years_old(None, date(2026, 1, 2))
    (7, None)
    """
    return None if year is None else today.year - year
