"""The pages of the office beside each other."""

from dataclasses import dataclass

from django import template
from django.urls import reverse
from django.utils.translation import gettext as _

from shop.office.rooms import NAMES

register = template.Library()


@dataclass(frozen=True)
class Place:
    name: str
    url: str
    is_here: bool


@register.simple_tag
def office_places(here: str) -> list[Place]:
    """In their order; ``here`` is the code of the page that is shown."""
    rooms = [
        (room, str(name), reverse("office:figures", args=[room]))
        for room, name in NAMES.items()
    ]
    told = [
        ("review", _("To do"), reverse("office:review")),
        *rooms,
        ("weekly", _("Weekly sheet"), reverse("office:weekly")),
        ("trail", _("Who did what"), reverse("office:trail")),
        ("books", _("Books"), reverse("books:books")),
    ]
    return [Place(name, url, code == here) for code, name, url in told]
