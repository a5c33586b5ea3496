"""The day list is reckoned once before anybody asks for it.

What takes long at the first time is kept: families, board lore, strips, templates.
"""

from django.conf import settings
from django.template.loader import get_template
from django.utils import timezone, translation

from diagnostics import bridge
from shop.desk.day import day_list
from shop.people.models import Shop
from shop.records import warming

TEMPLATES = ("desk/day_list.html", "desk/_day_row.html")


def listen() -> None:
    warming.before_serving(make_ready)


def make_ready() -> None:
    for _family in bridge.families():
        pass
    for template in TEMPLATES:
        get_template(template)
    for shop in Shop.objects.all():
        for language, _name in settings.LANGUAGES:
            with translation.override(language):
                day_list(shop, timezone.now())
