"""A monthly invoice as it is printed: a head for each ticket, and the annex."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from shop.billing.accounts.groups import Group, groups_of, groups_on
from shop.billing.models import Invoice
from shop.billing.wording import long_date
from shop.money import Money, total


@dataclass(frozen=True)
class Head:
    """Above the first line of a ticket; ``net`` stands below its last."""

    group: Group
    handed_over: str
    net: Money


def heads_of(invoice: Invoice, nets: Sequence[Money]) -> tuple[dict[int, Head], ...]:
    """By position: the heads above a line, and the sums below one."""
    above, below = {}, {}
    for group in groups_on(invoice.device, len(nets)):
        own = total(list(nets[group.first - 1 : group.last]), invoice.currency)
        day = long_date(date.fromisoformat(group.handed_over))
        above[group.first] = below[group.last] = Head(group, day, own)
    return above, below


def annex_of(invoice: Invoice) -> Iterator[dict[str, Any]]:
    """Of each ticket what was found, done and proved, with its table of readings."""
    if invoice.corrects_id is not None:
        return
    told = {one["ticket"]: one for one in invoice.evidence}
    for group in groups_of(invoice.device):
        readings = told.get(group.ticket, {})
        yield {
            "group": group,
            "story": invoice.story.get(group.ticket, {}),
            "evidence": readings.get("rows", []),
            "came_on": _long(readings.get("came_on", "")),
            "proved_on": _long(readings.get("proved_on", "")),
        }


def is_monthly(invoice: Invoice) -> bool:
    return "period" in invoice.texts


def period_of(invoice: Invoice) -> tuple[str, str] | None:
    if not is_monthly(invoice):
        return None
    first, last = invoice.texts["period"]
    return _long(first), _long(last)


def _long(iso_day: str) -> str:
    return long_date(date.fromisoformat(iso_day)) if iso_day else ""
