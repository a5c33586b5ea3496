"""The job slip: what was handed over, in which condition, what was agreed."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.translation import gettext_lazy as _

from shop import pdf, qr
from shop.intake import (
    accounts,
    arriving,
    outage,
    paper_language,
    scans,
    slip_links,
    tags,
)
from shop.intake.facts import FIRST_WORD, READY
from shop.intake.forms import CAME_WITH_IT
from shop.intake.models import Answer, Purpose, Thing, ThingKind, Ticket
from shop.intake.signing import HEIGHT, WIDTH, drawn_on, signature_of
from shop.intake.story import story_of
from shop.money import Money
from shop.people.logos import logo_at
from shop.people.opening_hours import week_said
from shop.people.prices import as_paid
from shop.people.texts import in_force
from shop.records.kinds import Kind
from shop.records.models import Event, Note

CONDITION = {
    "liquid": _("Liquid"),
    "dropped": _("Dropped"),
    "hot_or_swollen": _("Hot, smelling or swollen"),
    "opened_before": _("Opened before"),
}


def job_slip(ticket: Ticket, *, has_tags: bool = True) -> bytes:
    """The PDF; the same bytes as long as nothing on it was changed.

    Its tags are cut off where no roll prints them.
    """
    html = job_slip_html(ticket, has_tags=has_tags)
    logo = logo_at(ticket.shop, ticket.opened_at)
    return pdf.render(html, stamp=ticket.opened_at, logo=logo)


def job_slip_html(ticket: Ticket, *, has_tags: bool = True) -> str:
    """The slip as HTML, in the customer's language, by the shop's clock."""
    language = translation.override(_language_of(ticket))
    with language, timezone.override(ticket.shop.zone):
        context = slip_of(ticket)
        if not has_tags:
            context["tags"] = []
        return render_to_string("papers/job_slip.html", context)


def _language_of(ticket: Ticket) -> str:
    return paper_language.language_of(ticket, *paper_language.OF_SLIP)


def slip_of(ticket: Ticket) -> dict[str, Any]:
    """Everything on the slip. No password, no note of ours, no price but agreed."""
    group = arriving.group_of(ticket)
    things = list(ticket.things.all())
    signature = signature_of(ticket)
    paper = outage.slips_of(ticket.shop).filter(ticket=ticket).first()
    return {
        **said(
            ticket,
            things=things,
            told=story_of(ticket).told,
            as_it_came=_words_of(ticket, "condition"),
            consents={c.purpose: c.answer for c in ticket.consents.all()},
            is_rest_open=arriving.is_rest_open(ticket),
        ),
        "stamp": ticket.opened_at,
        "has_logo": bool(logo_at(ticket.shop, ticket.opened_at)),
        "paper_size": ticket.shop.paper_size,
        "account": accounts.rules_of(ticket, ticket.opened_at),
        "taken_in_by": paper.taken_by if paper else _taken_in_by(ticket),
        "paper": paper,
        "machines": [_machine(one) for one in group] if len(group) > 1 else [],
        "signature": drawn_on(signature),
        "signed_at": signature.at if signature else None,
        "pad": (WIDTH, HEIGHT),
        "first_word": _promised(ticket, FIRST_WORD),
        "ready_by": _promised(ticket, READY),
        "week": week_said(ticket.shop),
        "texts": in_force(ticket.shop, ticket.opened_at, _language_of(ticket)),
        "code": qr.svg(scans.ticket_code(ticket.number)),
        "follow": _follow(ticket),
        "tags": [
            tags.tag_of(one, thing) | {"flags": tags.flags_of(one)}
            for one in group
            for thing in one.things.all()
        ],
    }


def said(
    ticket: Ticket,
    *,
    things: list[Thing],
    told: str,
    as_it_came: str,
    consents: Mapping[str, str],
    is_rest_open: bool,
) -> dict[str, Any]:
    """What the slip says of a ticket's own columns and these; it may be unsaved."""
    kinds = {thing.kind for thing in things}
    return {
        "shop": ticket.shop,
        "ticket": ticket,
        "is_rest_open": is_rest_open,
        "with_it": _besides_itself(things),
        "not_with_it": [] if is_rest_open else _not_with_it(kinds),
        "told": told,
        "as_it_came": as_it_came,
        "condition": [_answer(ticket, name) for name in CONDITION],
        "consents": [
            (purpose.label, Answer(consents.get(purpose, Answer.NOT_RECORDED)).label)
            for purpose in Purpose
        ],
        "is_wet": ticket.liquid in {Answer.YES, Answer.UNSURE},
        "is_hot": ticket.hot_or_swollen in {Answer.YES, Answer.UNSURE},
        "fee_with_tax": fee_with_tax(ticket),
    }


def _follow(ticket: Ticket) -> dict[str, Any] | None:
    """The code by which the customer's phone follows the job, and for how long."""
    link = slip_links.to_print(ticket, timezone.now())
    if link is None or not slip_links.reaches_phones():
        return None
    return {"code": qr.svg(slip_links.printed(link)), "until": link.expires_at}


def _machine(ticket: Ticket) -> dict[str, Any]:
    """A row of the slip of several machines."""
    return {
        "ticket": ticket,
        "told": story_of(ticket).told,
        "with_it": _besides_itself(list(ticket.things.all())),
    }


def _words_of(ticket: Ticket, kind: str) -> str:
    notes = Note.objects.filter(ticket_id=ticket.pk, kind=kind).order_by("id")
    newest = notes.last()
    return newest.text if newest else ""


def fee_with_tax(ticket: Ticket) -> Money | None:
    """What the customer pays for the diagnosis, where prices are said with tax."""
    terms = ticket.shop.terms.filter(valid_from__lte=ticket.opened_at).last()
    if terms is None:
        return None
    return as_paid(
        ticket.diagnosis_fee, terms.tax_basis_points, is_shown=terms.prices_with_tax
    )


def _besides_itself(things: list[Thing]) -> list[Thing]:
    """All but the device, which has a line of its own."""
    itself = next((thing for thing in things if thing.kind in tags.ITSELF), None)
    return [thing for thing in things if thing is not itself]


def _not_with_it(kinds: set[str]) -> list[str]:
    """What usually comes along and did not: said, so that nobody wonders later."""
    return [str(ThingKind(k).label) for k in CAME_WITH_IT if k not in kinds]


def _answer(ticket: Ticket, name: str) -> tuple[str, str]:
    return str(CONDITION[name]), str(Answer(getattr(ticket, name)).label)


def _events(ticket: Ticket, kind: Kind) -> list[Event]:
    rows = Event.objects.filter(ticket_id=ticket.pk, kind=kind)
    return list(rows.select_related("by").order_by("id"))


def _taken_in_by(ticket: Ticket) -> str:
    opened = _events(ticket, Kind.TICKET_OPENED)
    by = opened[0].by if opened else None
    return by.name if by else ""


def _promised(ticket: Ticket, about: str) -> datetime | None:
    """What was promised first: a slip that is printed again says the same."""
    for event in _events(ticket, Kind.PROMISE_MADE):
        if event.codes.get("about") == about:
            return datetime.fromisoformat(event.codes["promise"])
    return None
