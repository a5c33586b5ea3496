"""How far a count of rare things may be believed. PURE.

The exact interval of a Poisson mean by a count (F. Garwood, Biometrika 28, 1936,
437-442): half the chi-squared quantiles of 2k and 2k + 2, found by halving, since
importing ``scipy.stats`` takes longer than a page may.
"""

from math import exp, log

SIDE = 0.025
STEPS = 200


def garwood(k: int) -> tuple[float, float]:
    """Where the mean lies, with 95 % confidence, when ``k`` were counted.

    >>> low, high = garwood(3)
    >>> round(low, 4), round(high, 4)
    (0.6187, 8.7673)
    """
    low = 0.0 if k == 0 else _mean_with(k - 1, 1 - SIDE)
    return low, _mean_with(k, SIDE)


def _mean_with(k: int, chance: float) -> float:
    """The mean at which k or fewer have this chance, which falls as it grows."""
    low, high = 0.0, 2.0 * k + 20.0
    for _step in range(STEPS):
        middle = (low + high) / 2
        if at_most(k, middle) > chance:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def at_most(k: int, mean: float) -> float:
    """The chance of ``k`` or fewer."""
    if mean <= 0:
        return 1.0
    total, step = 0.0, -mean
    for count in range(k + 1):
        if count:
            step += log(mean / count)
        total += exp(step)
    return total
