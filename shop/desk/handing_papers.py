"""The paper of a handover: what went back, what becomes ours, and the cover."""

from collections.abc import Collection
from datetime import datetime
from typing import Any

from django.template.loader import render_to_string
from django.utils import timezone, translation

from shop import pdf
from shop.billing import queries as money
from shop.intake.counter_models import Signed
from shop.intake.models import (
    STAYS_HERE,
    DriveEnd,
    Handover,
    HandoverWay,
    Ticket,
)
from shop.intake.paper_language import language_of
from shop.intake.services import Ending
from shop.intake.signing import HEIGHT, WIDTH, drawn_on, signature_of
from shop.intake.story import story_of
from shop.intake.things import given_back
from shop.people.logos import logo_at
from shop.records.kinds import Kind


def before(ticket: Ticket, given_to: str, ending: Ending) -> bytes:
    """What is to be signed, before anything is kept."""
    counted = {*(ending.counted or ()), *given_back(ticket)}
    return _pdf(ticket, given_to, ending, counted, at=timezone.now())


def after(row: Handover) -> bytes:
    """The same once it is done, with the signature where it was given here."""
    ending = Ending(
        way=row.way,
        missing=row.missing,
        tracking=row.tracking,
        drive=row.drive,
        price=row.price,
    )
    counted = given_back(row.ticket)
    return _pdf(row.ticket, row.given_to, ending, counted, at=row.at)


def _pdf(
    ticket: Ticket,
    given_to: str,
    ending: Ending,
    counted: Collection[int],
    at: datetime,
) -> bytes:
    logo = logo_at(ticket.shop, at)
    context = _context(ticket, ending, counted)
    context |= {"stamp": at, "given_to": given_to, "has_logo": bool(logo)}
    with (
        timezone.override(ticket.shop.zone),
        translation.override(language_of(ticket, Kind.TICKET_CLOSED)),
    ):
        html = render_to_string("papers/handover.html", context)
    return pdf.render(html, stamp=at, logo=logo)


def _context(
    ticket: Ticket, ending: Ending, counted: Collection[int]
) -> dict[str, Any]:
    signature = signature_of(ticket, Signed.HANDOVER)
    invoice = money.standing_invoice(ticket)
    things = list(ticket.things.all())
    outcome = getattr(ticket, "outcome", None)
    return {
        "shop": ticket.shop,
        "paper_size": ticket.shop.paper_size,
        "ticket": ticket,
        "is_ours": ending.way in STAYS_HERE,
        "way": HandoverWay(ending.way).label,
        "ending": ending,
        "drive": DriveEnd(ending.drive).label if ending.drive else "",
        "back": [thing for thing in things if thing.pk in counted],
        "staying": [thing for thing in things if thing.pk not in counted],
        "outcome": outcome,
        "done": story_of(ticket).done,
        "invoice": invoice,
        "is_monthly": money.is_billed_monthly(ticket),
        "covered_until": money.covered_until(ticket),
        "balance": money.balance(ticket),
        "signature": drawn_on(signature),
        "signed_at": signature.at if signature else None,
        "pad": (WIDTH, HEIGHT),
    }
