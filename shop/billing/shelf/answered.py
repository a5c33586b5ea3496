"""What a yes, a no and the end of a ticket do to the parts kept for it.

At a yes they are kept for the work, and so is what the quote names and the shelf has
free; at a no to all of it, and at the end, nothing is kept any more.
"""

from datetime import datetime

from django.db.models import Sum

from shop.billing.models import Quote
from shop.billing.shelf.kept import kept_count, standing
from shop.billing.shelf.reserving import (
    ONCE_AGREED,
    given_back,
    reserved,
    stock_reserve,
)
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records import services as records
from shop.records.kinds import Kind
from shop.records.models import Event


def listen() -> None:
    records.when(Kind.QUOTE_ACCEPTED, at_yes)
    records.when(Kind.QUOTE_DECLINED, at_no)
    records.when(Kind.TICKET_CLOSED, at_end)


def at_yes(event: Event) -> None:
    ticket = _ticket(event)
    _prolong(ticket, event.at)
    quote = ticket.quotes.get(version=event.ids["version"], answer__is_yes=True)
    by = Person.objects.filter(pk=event.by_id or 0).first() or quote.by
    _keep_named(quote, by, event.at)


def at_no(event: Event) -> None:
    """A no to what was found besides keeps what was agreed before."""
    ticket = _ticket(event)
    if not ticket.quotes.filter(answer__is_yes=True).exists():
        _release_all(ticket, event)


def at_end(event: Event) -> None:
    _release_all(_ticket(event), event)


def _ticket(event: Event) -> Ticket:
    return Ticket.objects.get(pk=event.ticket_id or 0)


def _release_all(ticket: Ticket, event: Event) -> None:
    moves = list(standing(event.at).filter(ticket=ticket).select_related("by"))
    person = Person.objects.filter(pk=event.by_id or 0).first()
    for move in moves:
        given_back([move], person or move.by, event.at)


def _prolong(ticket: Ticket, at: datetime) -> None:
    """The same pieces, kept until the work is done."""
    until = at + ONCE_AGREED
    rows = standing(at).filter(ticket=ticket, expires_at__lt=until)
    for move in list(rows.select_related("item", "by")):
        given_back([move], move.by, at)
        reserved(move.item, ticket, move.by, move.quantity, at, expires_at=until)


def _keep_named(quote: Quote, by: Person, at: datetime) -> None:
    """What the quote's lines name as the shelf does, where all of it is free."""
    ticket = quote.ticket
    named = {line.text: int(line.quantity) for line in quote.lines.all()}
    for item in ticket.shop.stock_items.filter(on_hand__gt=0, name__in=named):
        own = standing(at).filter(item=item, ticket=ticket)
        wanted = named[item.name] + (own.aggregate(n=Sum("quantity"))["n"] or 0)
        if 0 < wanted <= item.on_hand - kept_count(item, at):
            stock_reserve(
                item=item,
                ticket=ticket,
                by=by,
                quantity=wanted,
                lasting=ONCE_AGREED,
                at=at,
            )
