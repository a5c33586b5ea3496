"""The sections of the page, in reading order."""

from shop.office.asked import Asked
from shop.office.sections import Section
from shop.office.turnaround import (
    back,
    balance,
    first,
    groups,
    open_now,
    weekly,
    where,
)
from shop.office.turnaround.queries import read
from shop.people.models import Shop


def sections(shop: Shop, asked: Asked) -> list[Section]:
    found = read(shop, asked)
    return [
        where.section(shop, asked, found),
        open_now.section(found.ages),
        back.section(found.stays),
        weekly.section(shop, asked, found.stays),
        first.section(found.stays),
        *groups.sections(found.stays),
        balance.section(found.stays, len(found.ages)),
    ]
