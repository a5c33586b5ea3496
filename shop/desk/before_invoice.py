"""Before an invoice: time that clocks have and nobody confirmed is said first."""

from datetime import date

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone

from shop.desk import evening_words as words
from shop.desk.evening import A_MONTH, DayFound, unconfirmed_of
from shop.desk.evening_confirm import ticket_confirm
from shop.intake.models import Ticket
from shop.people.access import AtWork
from shop.people.models import Person

CONFIRM, LEAVE_OUT = "confirm", "leave_out"


def is_settled(request: AtWork, ticket: Ticket) -> bool:
    """Whether the invoice may be made: nothing is open, or somebody has decided.

    Confirming records what is proposed; left out, it stays proposed.
    """
    said = request.POST.get("time", "")
    if said == LEAVE_OUT:
        return True
    now = timezone.now()
    if said == CONFIRM:
        ticket_confirm(ticket=ticket, by=request.user, now=now)
        return True
    return not unconfirmed_of(ticket, now, back=A_MONTH)


def unsettled(ticket: Ticket) -> int:
    """Minutes that clocks have and nobody confirmed."""
    found = unconfirmed_of(ticket, timezone.now(), back=A_MONTH)
    return sum(one.minutes for one in found)


def ask(request: AtWork, ticket: Ticket) -> HttpResponse:
    found = unconfirmed_of(ticket, timezone.now(), back=A_MONTH)
    people = Person.objects.in_bulk([one.person_id for one in found])
    context = {
        "ticket": ticket,
        "days": [_said(one, people[one.person_id]) for one in found],
        "minutes": sum(one.minutes for one in found),
        "is_plain": all(one.is_plain for one in found),
    }
    return render(request, "desk/before_invoice.html", context, status=422)


def _said(one: DayFound, person: Person) -> dict[str, Person | date | int | str]:
    return {
        "person": person,
        "day": one.day,
        "minutes": one.minutes,
        "evidence": words.evidence(one.stints),
        "looks": "\n".join(look for s in one.stints for look in words.looks(s)),
    }
