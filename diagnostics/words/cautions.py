"""What each caution of the families says, and whose rules come before ours.

Cautions are about people, the board or the customer's data; the code stands at the
check in the family's file.
"""

from collections.abc import Iterable

from django.utils.translation import gettext_lazy

LOCAL_RULES = gettext_lazy(
    "Local codes, licensed practice and the maker’s instructions come first."
)
CAUTIONS = {
    "mains": gettext_lazy(
        "Mains inside; capacitors stay charged. Test outputs only, never open it. "
        "Mains work is for licensed persons."
    ),
    "lithium": gettext_lazy(
        "Lithium cells: never puncture, bend, heat, charge below limits or leave on "
        "test alone. Swollen: isolate, call the customer, dispose through a licensed "
        "route. Transport rules differ."
    ),
    "injection": gettext_lazy(
        "Set volts before connecting, limit low, read polarity twice, never above "
        "nominal. Glasses on: capacitors burst. Hands off after 10 s."
    ),
    "esd": gettext_lazy(
        "Open board: wrist strap through 1 MΩ and mat; strap off before work on "
        "anything mains-referenced."
    ),
    "eyes": gettext_lazy("Eye protection for cutting, lifting and what may burst."),
    "hot_air": gettext_lazy(
        "Hot air of 300 to 400 °C burns and fumes: extraction on, no batteries or "
        "plastics near, pre-heat, shields. Leaded solder: wash hands."
    ),
    "cleaning": gettext_lazy(
        "Alcohol and cleaners burn: ventilate, keep from hot air; board dry before "
        "power."
    ),
    "coin_cell": gettext_lazy("Coin cell: children swallow them; keep them counted."),
    "high_side": gettext_lazy(
        "High-side short: power now would put the main rail on the processor."
    ),
    "probe_slip": gettext_lazy(
        "A slip of the probe joins nets: clip black first, one hand."
    ),
    "privacy": gettext_lazy(
        "The customer’s data: least access, logged, no browsing; passwords are erased "
        "at closing. Erase only with written consent. What looks illegal, found by "
        "accident: stop, the owner acts under local law."
    ),
    "disk": gettext_lazy(
        "Rewriting flash, or changing the chipset, the controller or the CPU, may lock "
        "the owner of an encrypted disk out."
    ),
}
# True of every open board, so said quietly, after what is this check's own.
STANDING = frozenset({"esd"})
# Of the work itself: recorded beside the walk, whatever check led there.
AT_WORK = ("hot_air", "eyes", "cleaning", "lithium", "mains", "privacy")


def said(codes: Iterable[str]) -> list[str]:
    """Cautions in words; ``LOCAL_RULES`` ends them where they are shown."""
    return [str(CAUTIONS[code]) for code in codes]
