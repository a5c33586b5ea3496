"""The office's pages of figures, by the name in their address.

Each is a function of shop and time that gives its sections in reading order; the
page, its files and the weekly sheet all take them from here.
"""

from collections.abc import Callable, Mapping

from django.utils.translation import gettext_lazy

from shop.office.asked import Asked
from shop.office.money.page import sections as money
from shop.office.quality.page import sections as quality
from shop.office.sections import Section
from shop.office.turnaround.page import sections as turnaround
from shop.people.models import Shop

NAMES = {
    "turnaround": gettext_lazy("Turnaround"),
    "money": gettext_lazy("Money"),
    "quality": gettext_lazy("Quality"),
}
Maker = Callable[[Shop, Asked], list[Section]]
ROOMS: Mapping[str, Maker] = {
    "turnaround": turnaround,
    "money": money,
    "quality": quality,
}
