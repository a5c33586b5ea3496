"""A quote that ran out, and a customer who wants another."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing.models import Quote
from shop.billing.quote_state import asked_anew_at, quote_state
from shop.billing.services import checks
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.kinds import Kind


@transaction.atomic
def quote_ask_anew(*, quote: Quote, channel: str, at: datetime | None = None) -> None:
    """Keep that the customer asks for a new price. Asked twice it is kept once."""
    at = at or timezone.now()
    ticket = checks.ticket_locked(quote.ticket)
    expired = quote_state(ticket).expired(checks.shop_day(ticket.shop, at))
    if expired is None or expired.pk != quote.pk:
        raise Refused(_("There is no quote here that is over."))
    if asked_anew_at(quote) is not None:
        return
    records.event_record(
        Kind.NEW_PRICE_ASKED,
        shop_id=ticket.shop_id,
        by_id=None,
        at=at,
        ticket_id=ticket.pk,
        ids={"quote": quote.pk, "version": quote.version},
        codes={"channel": channel},
    )
