"""What is tapped of a board model that is new here, as patches over its family."""

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

from diagnostics import bridge

# A tick -> the variant that it chooses, where the family has that option.
TICKS = {
    "no_graphics": ("graphics", "none"),
    "graphics_on_board": ("graphics", "on_board"),
    "chipset_in_cpu": ("chipset", "in_cpu"),
}
MODULES = {"ddr3": "DDR3", "ddr3l": "DDR3L", "ddr4": "DDR4", "ddr5": "DDR5"}
MEMORY = [
    ("", _("as most of the family")),
    *MODULES.items(),
    ("lpddr4x", _("soldered LPDDR4X")),
    ("lpddr5", _("soldered LPDDR5")),
]


def patches_of(family: str, asked: Mapping[str, Any]) -> dict[str, str]:
    """Key -> value, only where it is another than what the family has by itself.

    What a family doesn't know is left out: a desktop has no choice of its chip.
    """
    if family not in bridge.family_ids():
        return {}
    options = bridge.family_options(family)
    chosen = [TICKS[tick] for tick in TICKS if asked.get(tick)]
    chosen.append(("memory", asked.get("memory", "")))
    return {
        f"variants.{variant}": option
        for variant, option in chosen
        if option in options.get(variant, ())[1:]
    }
