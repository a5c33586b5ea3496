"""The sections of the page, in reading order."""

from shop.office.asked import Asked
from shop.office.sections import Section
from shop.people.models import Shop


def sections(shop: Shop, asked: Asked) -> list[Section]:
    raise NotImplementedError(shop, asked)
