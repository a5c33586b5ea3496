"""The sections of the page, in reading order."""

from diagnostics import forecasts
from shop.office.asked import Asked
from shop.office.kept import kept
from shop.office.quality import (
    ended,
    first_time,
    overrides,
    returns,
    spared,
    suspects,
)
from shop.office.quality.fixed import fixed_of
from shop.office.quality.names import names_of
from shop.office.sections import Section
from shop.people.models import Shop


def sections(shop: Shop, asked: Asked) -> list[Section]:
    fixed = kept("fixed", shop, asked, lambda: fixed_of(shop, asked))
    names = names_of(shop, fixed)
    said = kept(
        "said", shop, asked, lambda: forecasts.of_period(shop, asked.since, asked.until)
    )
    return [
        first_time.section(shop, fixed, names),
        returns.section(fixed, names),
        returns.shares(fixed, names),
        ended.section(shop, asked),
        suspects.first_right(said, names),
        suspects.calibration(said),
        suspects.overturned(said),
        spared.section(said, names),
        overrides.section(shop, asked),
    ]
