"""The sections of the page, in reading order."""

from shop.office.asked import Asked
from shop.office.kept import kept
from shop.office.money import boards, deposits, flow, hours, owed, quoted
from shop.office.money.worked import work_of
from shop.office.sections import Section
from shop.people.models import Shop


def sections(shop: Shop, asked: Asked) -> list[Section]:
    of_models = boards.boards_of(shop, asked)
    work = kept("work", shop, asked, lambda: work_of(shop, asked))
    return [
        flow.section(shop, asked),
        owed.section(shop, asked),
        deposits.section(shop, asked),
        quoted.section(shop, asked),
        boards.margin(of_models),
        boards.worth(of_models),
        boards.costly(of_models),
        hours.billed(work),
        hours.lost(work),
    ]
