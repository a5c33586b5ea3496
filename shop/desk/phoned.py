"""The telephone: what the ticket's head says to read out, and that it was told."""

import hashlib
import json
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any

from django import forms
from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from shop.desk.read_out import NEXT_WORD_DAYS, OFFERED_DAYS, next_word_days, said_of
from shop.intake import services as intake
from shop.intake.models import Channel, Ticket
from shop.intake.read_out import Said
from shop.intake.read_out_words import day_words, sentences
from shop.people.access import AtWork
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event


class PhonedForm(forms.Form):
    next_contact = forms.DateField(required=False)
    told = forms.CharField(max_length=64)


@dataclass(frozen=True)
class Chip:
    """A day that is offered for the next word."""

    day: date
    words: str
    is_usual: bool


def panel(ticket: Ticket, request: AtWork) -> SafeString:
    """The sentence, and the tap that keeps that it was told."""
    now = timezone.now()
    said = said_of(ticket, now)
    calls = calls_of(ticket)
    language = ticket.customer.language
    theirs, own = sentences(said, language), sentences(said)
    context = {
        "ticket": ticket,
        "lines": theirs,
        "language": language,
        "own_lines": own if own != theirs else [],
        "told": mark(said),
        "chips": [] if hasattr(ticket, "handover") else _chips(ticket, now),
        "calls": len(calls),
        "last_call": calls[-1] if calls else None,
    }
    return render_to_string("desk/_read_out.html", context, request=request)


def mark(said: Said) -> str:
    """A short mark of exactly these sentences: what the page showed."""
    text = json.dumps(asdict(said), sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:32]


def calls_of(ticket: Ticket) -> list[Event]:
    """How often the customer asked by telephone, in the order of the calls."""
    rows = Event.objects.filter(ticket_id=ticket.pk, kind=Kind.CUSTOMER_TOLD)
    return [event for event in rows.order_by("id") if event.codes.get("has_phoned")]


def _chips(ticket: Ticket, now: datetime) -> list[Chip]:
    days = next_word_days(ticket.shop, now)
    usual = days[OFFERED_DAYS.index(NEXT_WORD_DAYS)]
    return [Chip(day, day_words(day), day == usual) for day in days]


def keep(ticket: Ticket, by: Person, form: PhonedForm) -> None:
    """They phoned and were told what stood there; refused where it has changed."""
    if not form.is_valid():
        raise Refused(_("Choose the day of the next word."), field="next_contact")
    typed: dict[str, Any] = form.cleaned_data
    said = said_of(ticket, timezone.now())
    if typed["told"] != mark(said):
        raise Refused(_("It has changed just now: read out what stands there."))
    intake.customer_told(
        ticket=ticket,
        by=by,
        channel=Channel.PHONE,
        next_contact=typed["next_contact"],
        said=said,
        has_phoned=True,
    )
