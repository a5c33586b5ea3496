"""The letter that a machine waits to be collected, with what is due and until when.

How long a shop must keep it, and what it may do then, is the local law's; the letter
claims nothing of that.
"""

from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from shop import pdf
from shop.billing import queries as money
from shop.intake.models import Ticket
from shop.intake.words import moment_words
from shop.messaging.reminding import NOTICES_APART, notice_mailed
from shop.money import Money
from shop.people.logos import logo_at
from shop.people.models import Person
from shop.people.opening_hours import week_said
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event
from shop.shown import date_format

# Time to come and fetch it (jd).
COLLECT_WITHIN = timedelta(days=14)


def newest_of(ticket: Ticket) -> Event | None:
    rows = Event.objects.filter(ticket_id=ticket.pk, kind=Kind.NOTICE_GIVEN)
    return rows.order_by("id").last()


@transaction.atomic
def notice_give(*, ticket: Ticket, by: Person, at: datetime | None = None) -> Event:
    """Keep that a notice goes out, with the day until which it asks to be fetched."""
    Ticket.objects.select_for_update().only("pk").get(pk=ticket.pk)
    if hasattr(ticket, "handover"):
        raise Refused(_("This ticket is closed: the device was handed over."))
    if not hasattr(ticket, "outcome"):
        raise Refused(_("The bench has not said yet how the work ended."))
    at = at or timezone.now()
    if (mailed := notice_mailed(ticket, at)) is not None:
        days = {"n": NOTICES_APART.days, "when": moment_words(mailed.queued_at)}
        raise Refused(
            _("A notice went out by message on %(when)s: wait %(n)d days.") % days
        )
    newest = newest_of(ticket)
    until = at.astimezone(ticket.shop.zone).date() + COLLECT_WITHIN
    return records.event_record(
        Kind.NOTICE_GIVEN,
        shop_id=ticket.shop_id,
        by_id=by.pk,
        at=at,
        ticket_id=ticket.pk,
        ids={"number": int(newest.ids["number"]) + 1 if newest else 1},
        codes={
            "next_contact": until.isoformat(),
            "currency": ticket.currency,
            "language": ticket.customer.language,
        },
        amounts={"due": money.balance(ticket).due.minor},
    )


def notice_paper(ticket: Ticket, given: Event) -> bytes:
    """The same bytes as long as the event stands: its sum and dates are its own."""
    logo = logo_at(ticket.shop, given.at)
    return pdf.render(notice_html(ticket, given), stamp=given.at, logo=logo)


def notice_html(ticket: Ticket, given: Event) -> str:
    language = given.codes.get("language", ticket.customer.language)
    with translation.override(language):
        context = _context(ticket, given)
        with timezone.override(ticket.shop.zone):
            return render_to_string("papers/notice.html", context)


def _context(ticket: Ticket, given: Event) -> dict[str, Any]:
    zone = ticket.shop.zone
    until = datetime.fromisoformat(given.codes["next_contact"])
    heading = _("Your machine waits for you")
    return {
        "ticket": ticket,
        "shop": ticket.shop,
        "seller": ticket.shop,
        "buyer": ticket.customer,
        "device": ticket.device,
        "heading": heading,
        "issued_on": date_format(given.at.astimezone(zone), "j F Y"),
        "number": given.ids["number"],
        "ready_since": ticket.outcome.at,
        "until": until,
        "due": Money.from_minor(int(given.amounts["due"]), given.codes["currency"]),
        "week": week_said(ticket.shop),
        "has_logo": bool(logo_at(ticket.shop, given.at)),
        "paper_size": ticket.shop.paper_size,
        "stamp": given.at,
    }
