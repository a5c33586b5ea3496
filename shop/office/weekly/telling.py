"""What a weekly sheet says: the week in a sentence, what waits, the chosen figures."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from itertools import islice
from typing import Any

from django.db.models import QuerySet, Sum
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from shop.billing.models import Invoice, Payment
from shop.intake import queries as tickets
from shop.intake.models import Ticket
from shop.money import Money
from shop.office.acting import words
from shop.office.acting.lists import Code, lists
from shop.office.asked import Asked
from shop.office.asking import months_back
from shop.office.rooms import ROOMS
from shop.office.sections import Section
from shop.office.weekly.weeks import Week
from shop.people.models import Shop

OF_A_ROOM = 2  # the first findings of each page stand on the sheet
MONTHS = 6
TO_DO = {
    Code.PROMISES: gettext_lazy("Tell them a new day before they ask."),
    Code.TO_GO_ON: gettext_lazy("Give them to somebody."),
    Code.UNTOUCHED: gettext_lazy("Give them to somebody, or say why they wait."),
    Code.UNANSWERED: gettext_lazy("Ask again."),
    Code.NOT_COLLECTED: gettext_lazy("Tell them again."),
    Code.UNBILLED: gettext_lazy("Make the invoices."),
    Code.OWED: gettext_lazy("Send the reminders that are due."),
}


@dataclass(frozen=True)
class Count:
    """How many wait for an act of ours, and for which."""

    head: str
    n: int
    do: str


def sentence(shop: Shop, week: Week, now: datetime) -> str:
    """The week in words; of one that goes on, until now."""
    start, end = week.start(shop.zone), min(week.end(shop.zone), now)
    came = shop.tickets.filter(opened_at__gte=start, opened_at__lt=end).count()
    went = Ticket.objects.filter(
        shop=shop,
        handover__at__gte=start,
        handover__at__lt=end,
        handover__is_undone=False,
    ).count()
    open_now = len(tickets.tickets_open(shop))
    issued = Invoice.objects.filter(issued_at__gte=start, issued_at__lt=end)
    paid = Payment.objects.filter(at__gte=start, at__lt=end)
    money = _("Invoiced %(invoiced)s, paid %(paid)s %(currency)s.") % {
        "invoiced": _sum(issued, shop, "total_minor"),
        "paid": _sum(paid, shop, "amount_minor"),
        "currency": shop.currency,
    }
    return " ".join(
        (
            ngettext("%(n)d ticket came in.", "%(n)d tickets came in.", came)
            % {"n": came},
            ngettext("%(n)d went home.", "%(n)d went home.", went) % {"n": went},
            ngettext("%(n)d is open.", "%(n)d are open.", open_now) % {"n": open_now},
            money,
        )
    )


def _sum(rows: QuerySet[Any], shop: Shop, column: str) -> Money:
    own = rows.filter(shop=shop, currency=shop.currency)
    return Money.from_minor(own.aggregate(sum=Sum(column))["sum"] or 0, shop.currency)


def counts(shop: Shop, now: datetime) -> list[Count]:
    """The lists of the office's first screen, in its order. No customer is named."""
    found = lists(shop, now)
    return [
        Count(words.title(code, found.limits), len(found.of[code]), str(TO_DO[code]))
        for code in Code
    ]


def sections(shop: Shop, week: Week, now: datetime) -> Iterator[Section]:
    """The first findings of each page, over half a year up to the week's end."""
    until = min(week.end(shop.zone), now)
    asked = Asked(months_back(shop, until, MONTHS), until, now)
    for make in ROOMS.values():
        yield from islice(make(shop, asked), OF_A_ROOM)
