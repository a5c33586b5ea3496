"""A till: notes and coins, and what should lie in it. PURE.

Denominations in minor units, as each central bank issues them (European Central Bank,
Bank of England, Swiss National Bank, Norges Bank, Riksbank, Danmarks Nationalbank,
Federal Reserve; from memory). A currency without a list is counted as one sum.
"""

from collections.abc import Mapping, Sequence

PIECES: Mapping[str, Sequence[int]] = {
    "EUR": (20000, 10000, 5000, 2000, 1000, 500, 200, 100, 50, 20, 10, 5, 2, 1),
    "GBP": (5000, 2000, 1000, 500, 200, 100, 50, 20, 10, 5, 2, 1),
    "CHF": (100000, 20000, 10000, 5000, 2000, 1000, 500, 200, 100, 50, 20, 10, 5),
    "NOK": (100000, 50000, 20000, 10000, 5000, 2000, 1000, 500, 100),
    "SEK": (100000, 50000, 20000, 10000, 5000, 2000, 1000, 500, 200, 100),
    "DKK": (100000, 50000, 20000, 10000, 5000, 2000, 1000, 500, 200, 100, 50),
    "USD": (10000, 5000, 2000, 1000, 500, 100, 50, 25, 10, 5, 1),
}


def pieces_of(currency: str) -> Sequence[int]:
    return PIECES.get(currency, ())


def sum_of(counts: Mapping[int, int]) -> int:
    """What notes and coins come to, by how many there are of each.

    >>> sum_of({5000: 2, 200: 3, 5: 1})
    10605
    """
    return sum(piece * count for piece, count in counts.items())
