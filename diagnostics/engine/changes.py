"""What it costs to bring a board into another condition, in minutes. PURE.

All judgement: taking power off ends with power gone (k03), injection needs its
supply set up and hands off.
"""

UP = {"U": 0.0, "A": 2.0, "B": 2.5, "R": 2.5, "S": 4.5, "J": 5.0}
"""Minutes to get there from an unpowered board."""

POWER_OFF = 1.5
PRESS = 0.5


def minutes_to(now: str, wanted: str) -> float:
    """Minutes from one condition to another; "" needs none.

    >>> minutes_to("U", "B")
    2.5
    >>> minutes_to("B", "U")
    1.5
    >>> minutes_to("A", "B")
    0.5
    >>> minutes_to("R", "J")
    6.5
    """
    if wanted in {"", now}:
        return 0.0
    if now == "U":
        return UP[wanted]
    if wanted == "U":
        return POWER_OFF
    if {now, wanted} <= set("ABR"):
        return PRESS
    return POWER_OFF + UP[wanted]
