"""What the fields of a message say of a ticket: from its facts, in plain words.

In the language and zone that are active, which are the customer's and the shop's.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property

from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from shop.billing import queries as money
from shop.billing.models import Quote
from shop.billing.wording import long_date
from shop.intake import queries, slip_links
from shop.intake.models import STAYS_HERE, ClosingKind, DriveEnd, HandoverWay, Ticket
from shop.intake.turn import Turn, Whose
from shop.messaging.told_ready import ready_since
from shop.money import Money
from shop.people.opening_hours import week_said
from shop.people.text_fields import FIELD, allowed
from shop.records.models import Event
from shop.shown import date_format

RESULTS: Mapping[str, str | Promise] = {
    ClosingKind.FIXED: gettext_lazy("It is repaired and tested."),
    ClosingKind.IMPROVED: gettext_lazy(
        "It works better, but we could not prove that the fault is gone."
    ),
    ClosingKind.NO_FAULT_FOUND: gettext_lazy("We found no fault."),
    ClosingKind.NOT_REPRODUCED: gettext_lazy(
        "The fault did not show itself while it was here."
    ),
    ClosingKind.DECLINED: gettext_lazy("It was not repaired, as you wished."),
    ClosingKind.NO_FIX: gettext_lazy("It could not be repaired."),
    ClosingKind.DATA_HANDED_OVER: gettext_lazy("Your data is ready for you."),
}
STAYS: Mapping[str, str | Promise] = {
    HandoverWay.RECYCLE: gettext_lazy(
        "It stays with us to be recycled, as you wished."
    ),
    HandoverWay.SOLD: gettext_lazy("It is ours now: you sold it to us."),
    HandoverWay.LEFT: gettext_lazy("It is ours now: you left it to us."),
}
DRIVES: Mapping[str, str | Promise] = {
    DriveEnd.RETURNED: gettext_lazy("You have its drive back."),
    DriveEnd.ERASED: gettext_lazy("We erase its drive, as you wished."),
}
REPAIRED = {ClosingKind.FIXED, ClosingKind.IMPROVED}


@dataclass
class About:
    """One message's ticket and event, with what several fields need of them."""

    ticket: Ticket
    event: Event | None
    now: datetime

    @cached_property
    def turn(self) -> Turn:
        return queries.turn_of(self.ticket, self.now)

    @cached_property
    def quote(self) -> Quote | None:
        if self.event is None:
            return None
        quotes = Quote.objects.filter(ticket=self.ticket, pk=self.event.ids["quote"])
        return quotes.first()

    @cached_property
    def group(self) -> list[Ticket]:
        """The ticket, and those that were taken in with it."""
        return [self.ticket, *self.ticket.came_too.select_related("device")]


def values_of(about: About, kind: str, text: str) -> dict[str, str]:
    """Those of the fields that the text has and its kind allows, each on one line."""
    names = set(FIELD.findall(text)) & set(allowed(kind))
    return {name: " ".join(VALUES[name](about).split()) for name in names}


def _numbers(about: About) -> str:
    return ", ".join(ticket.number for ticket in about.group)


def _devices(about: About) -> str:
    return ", ".join(ticket.device.model for ticket in about.group)


def _first_word(about: About) -> str:
    is_ready_first = about.turn.promise == about.turn.ready_by
    return "" if is_ready_first else _moment(about.turn.promise)


def _waits_for(about: About) -> str:
    """A part; what the bench itself is at is the shop's own business."""
    if about.turn.whose != Whose.SUPPLIER or about.turn.waits_for != "parts":
        return ""
    count = about.turn.details["count"]
    return ngettext("a part on order", "%(n)d parts on order", count) % {"n": count}


def _total(about: About) -> str:
    """With options, from the cheapest on."""
    quote = about.quote
    if quote is None:
        return ""
    if not quote.option:
        return _amount(quote.total)
    options = about.ticket.quotes.filter(version=quote.version)
    least = min(one.total for one in options)
    return _("from %(amount)s") % {"amount": _amount(least)}


def _valid_until(about: About) -> str:
    return long_date(about.quote.valid_until) if about.quote else ""


def _owing(about: About) -> str:
    """What an issued invoice leaves to pay; before there is one, nothing is said."""
    if money.standing_invoice(about.ticket) is None:
        return ""
    due = money.balance(about.ticket).due
    return _amount(due) if due.amount > 0 else ""


def _invoice(about: About) -> str:
    invoice = money.standing_invoice(about.ticket)
    return invoice.number if invoice else ""


def _result(about: About) -> str:
    outcome = getattr(about.ticket, "outcome", None)
    return str(RESULTS[outcome.kind]) if outcome else ""


def _ready_since(about: About) -> str:
    since = ready_since([about.ticket]).get(about.ticket.pk)
    return long_date(timezone.localtime(since).date()) if since else ""


def _stays(about: About) -> str:
    """What became of a machine that its owner did not take back, and of its drive."""
    if not stays_here(about.ticket):
        return ""
    handover = about.ticket.handover
    return f"{STAYS[handover.way]} {DRIVES.get(handover.drive, '')}"


def stays_here(ticket: Ticket) -> bool:
    handover = getattr(ticket, "handover", None)
    return handover is not None and handover.way in STAYS_HERE


def _warranty_until(about: About) -> str:
    if stays_here(about.ticket):
        return ""
    invoice = money.standing_invoice(about.ticket)
    outcome = getattr(about.ticket, "outcome", None)
    if invoice is None or outcome is None or outcome.kind not in REPAIRED:
        return ""
    return long_date(invoice.warranty_until) if invoice.warranty_until else ""


def _moment(at: datetime | None) -> str:
    return date_format(timezone.localtime(at), "l j F, H:i") if at else ""


def _amount(sum_: Money) -> str:
    return f"{sum_} {sum_.currency}"


VALUES: Mapping[str, Callable[[About], str]] = {
    "customer": lambda about: about.ticket.customer.name,
    "device": _devices,
    "ticket": _numbers,
    "shop": lambda about: about.ticket.shop.name,
    "phone": lambda about: about.ticket.shop.phone,
    "hours": lambda about: ", ".join(week_said(about.ticket.shop)),
    "link": lambda about: slip_links.address_of(about.ticket, now=about.now),
    "first_word": _first_word,
    "promise": lambda about: _moment(about.turn.ready_by),
    "waits_for": _waits_for,
    "total": _total,
    "valid_until": _valid_until,
    "owing": _owing,
    "invoice": _invoice,
    "result": _result,
    "stays": _stays,
    "ready_since": _ready_since,
    "warranty_until": _warranty_until,
}
