"""The lists of the first screen: which there are, in which order, and what is on each.

A list is made whole as facts; only the rows that are shown are read and worded.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from shop.books.debts import debts
from shop.office.acting import rules
from shop.office.acting.done_work import done_work
from shop.office.acting.gather import OpenOnes, open_ones, papers
from shop.people.models import OfficeLimits, Shop
from shop.people.office_limits import limits_at

Entry = rules.Promise | rules.Open | rules.Done | rules.Paper


class Code(StrEnum):
    """Of a list, as its address names it."""

    PROMISES = "promises"
    TO_GO_ON = "to-go-on"
    UNTOUCHED = "untouched"
    UNANSWERED = "unanswered"
    NOT_COLLECTED = "not-collected"
    UNBILLED = "unbilled"
    OWED = "owed"


@dataclass(frozen=True)
class Lists:
    """Everything that the owner has to act on, as of ``now``."""

    shop: Shop
    now: datetime
    limits: OfficeLimits
    here: OpenOnes
    of: Mapping[Code, Sequence[Entry]]


def lists(shop: Shop, now: datetime) -> Lists:
    limits = limits_at(shop, now)
    owed = debts(shop)
    here = open_ones(shop, now, owed)
    today = now.astimezone(shop.zone).date()
    of: dict[Code, Sequence[Entry]] = {
        Code.PROMISES: rules.promises(here.facts, now, shop.zone),
        Code.TO_GO_ON: rules.to_go_on(here.facts),
        Code.UNTOUCHED: rules.untouched(here.facts, now, limits.untouched),
        Code.UNANSWERED: rules.unanswered(here.facts, now, limits.unanswered),
        Code.NOT_COLLECTED: rules.not_collected(here.facts),
        Code.UNBILLED: rules.unbilled(done_work(shop, now), now),
        Code.OWED: rules.long_owed(papers(owed), today, limits.owed_days),
    }
    return Lists(shop, now, limits, here, of)
