"""The rows that are shown, each with its next act in words and where it is done."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta

from django.urls import reverse
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shop.intake.models import Ticket
from shop.intake.panels import Stretch, stretches
from shop.intake.promise import late_by
from shop.intake.turn import Turn
from shop.intake.words import span
from shop.money import Money
from shop.office.acting import words
from shop.office.acting.lists import Code, Entry, Lists
from shop.office.acting.reading import Read, read
from shop.office.acting.rules import Done, Open, Paper, Promise, Why

# The longest ticket's strip, in pixels; the others on the same scale.
DAYS_WIDTH, LEAST_WIDTH = 150, 4
SECOND = timedelta(seconds=1)


@dataclass(frozen=True)
class Strip:
    """A ticket's days by whose turn, and its age in words."""

    age: str
    days_width: int
    stretches: Sequence[Stretch]


@dataclass(frozen=True)
class Act:
    """What is to be done next, and the button that leads there."""

    says: SafeString
    button: str
    url: str


@dataclass(frozen=True)
class Row:
    """A row as it is drawn; ``since`` says how long or how late it is."""

    number: str
    href: str
    name: str
    what: str
    act: Act
    since: str
    is_late: bool
    strip: Strip | None = None


def rows_of(
    lists: Lists, shown: Mapping[Code, Sequence[Entry]], *, at_the_bench: bool
) -> dict[Code, list[Row]]:
    """``at_the_bench``: whoever looks may take a board in hand."""
    found = read(lists, shown, at_the_bench=at_the_bench)
    return {
        code: [_row(code, one, found) for one in entries]
        for code, entries in shown.items()
    }


def _row(code: Code, one: Entry, found: Read) -> Row:
    match one:
        case Promise():
            return _of_promise(one, found)
        case Open():
            return _of_open(code, one, found)
        case Done():
            return _of_done(one, found)
        case Paper():
            return _of_paper(one, found)


# --- open tickets ---


def _of_promise(one: Promise, found: Read) -> Row:
    ticket, turn = found.tickets[one.pk], found.lists.here.turns[one.pk]
    now = found.lists.now
    says = words.of_promise(one, ticket.customer, turn, now)
    act = (
        _give_out(ticket, found, says)
        if one.why == Why.NOBODY
        else Act(
            says, _("New promise"), reverse("intake:promise", args=[ticket.number])
        )
    )
    is_broken = one.why == Why.BROKEN
    since = (
        _("%(span)s late") % {"span": span(late_by(one.by, now, found.lists.shop.zone))}
        if is_broken
        else _("in %(span)s") % {"span": span(one.by - now)}
    )
    return _ticket_row(ticket, turn, act, since, found, is_late=is_broken)


def _of_open(code: Code, one: Open, found: Read) -> Row:
    ticket, turn = found.tickets[one.pk], one.turn
    act = _act_of(code, one, ticket, found)
    since = span(found.lists.now - turn.since)
    is_late = code in {Code.UNTOUCHED, Code.UNANSWERED}
    return _ticket_row(ticket, turn, act, since, found, is_late=is_late)


def _act_of(code: Code, one: Open, ticket: Ticket, found: Read) -> Act:
    turn, now, customer = one.turn, found.lists.now, ticket.customer
    told = _("Note the message"), reverse("intake:told", args=[ticket.number])
    match code:
        case Code.TO_GO_ON:
            return _give_out(ticket, found, words.to_go_on(turn, now))
        case Code.UNTOUCHED:
            return _give_out(ticket, found, words.untouched(turn))
        case Code.UNANSWERED:
            return Act(words.unanswered(customer, turn, now), *told)
        case _not_collected:
            due = Money.from_minor(one.owes, ticket.currency)
            return Act(words.not_collected(customer, turn, due, now), *told)


def _give_out(ticket: Ticket, found: Read, says: SafeString) -> Act:
    """To be taken in hand: at the bench, by whoever may."""
    board = found.boards.get(ticket.pk)
    if board is None:
        return Act(says, _("Ticket"), ticket.get_absolute_url())
    url = reverse("diagnostics:board", args=[ticket.number, board])
    return Act(says, _("To the bench"), url)


def _ticket_row(
    ticket: Ticket, turn: Turn, act: Act, since: str, found: Read, *, is_late: bool
) -> Row:
    width = max(
        LEAST_WIDTH, round(DAYS_WIDTH * (turn.age / max(found.longest, SECOND)))
    )
    return Row(
        ticket.number,
        ticket.get_absolute_url(),
        ticket.customer.name,
        ticket.device.model,
        act,
        since,
        is_late,
        Strip(span(turn.age), width, stretches(turn, width)),
    )


# --- work and money ---


def _of_done(one: Done, found: Read) -> Row:
    ticket = found.tickets[one.pk]
    url = (
        ticket.get_absolute_url()
        if one.billed_from is None
        else reverse("desk:month_of", args=[ticket.customer_id])
    )
    return Row(
        ticket.number,
        ticket.get_absolute_url(),
        ticket.customer.name,
        ticket.device.model,
        Act(words.unbilled(one), _("To the invoice"), url),
        span(found.lists.now - one.ended_at),
        is_late=False,
    )


def _of_paper(one: Paper, found: Read) -> Row:
    """A ticket's row, or the invoice's where it is of an account or a sale."""
    invoice = found.invoices[one.pk]
    ticket, account = invoice.ticket, getattr(invoice, "account", None)
    name = str(invoice.buyer.get("name", ""))
    due = found.due[one.pk]
    level = None if due.refusal else due.level
    page = reverse("billing:invoice_page", args=[invoice.number])
    reminders = f"{reverse('books:owed')}#{invoice.number}"
    is_listed = one.currency == found.lists.shop.currency
    today = found.lists.now.astimezone(found.lists.shop.zone).date()
    late = (today - one.due_on).days
    text = ngettext("%(n)d day late", "%(n)d days late", late)
    href = ticket.get_absolute_url() if ticket else page
    if account:
        href = reverse("billing:account", args=[account.customer_id])
    return Row(
        ticket.number if ticket else invoice.number,
        href,
        name,
        ticket.device.model if ticket else "",
        Act(
            words.owed(one, name, invoice.number, level, due.refusal),
            _("Money owed") if is_listed else _("Invoice"),
            reminders if is_listed else page,
        ),
        text % {"n": late},
        is_late=True,
    )
