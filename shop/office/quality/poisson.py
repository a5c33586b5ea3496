"""How far a count of rare things may be believed. PURE."""

SIDE = 0.025


def garwood(k: int) -> tuple[float, float]:
    """Where the mean lies, with 95 % confidence, when ``k`` were counted.

    The exact interval (F. Garwood, Biometrika 28, 1936, 437-442), by the quantiles of
    the gamma distribution.

    >>> low, high = garwood(3)
    >>> round(low, 4), round(high, 4)
    (0.6187, 8.7673)
    """
    from scipy.special import gammaincinv  # type: ignore[import-untyped]  # noqa: PLC0415

    low = float(gammaincinv(k, SIDE)) if k else 0.0
    return low, float(gammaincinv(k + 1, 1 - SIDE))
