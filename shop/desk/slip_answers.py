"""The customer's yes or no by the slip link: asked once more, kept once.

The first step keeps nothing: it gives out a signed word that names link, quote, total
and answer, without which the second step does nothing. It is all that a form of
another site could not know, so no cookie is needed.
"""

from dataclasses import dataclass
from datetime import timedelta

from django.core import signing
from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from shop.billing import queries as money
from shop.billing import services as billing
from shop.billing.models import Quote, QuoteAnswer
from shop.desk.slip_page import ENDED, Offer, offer_of
from shop.intake import queries as tickets
from shop.intake.models import Ticket
from shop.intake.services.rows import lock
from shop.intake.slip_models import SlipLink
from shop.records.errors import Refused
from shop.shown import date_format

SALT = "desk.slip-answer"
SALT_ANEW = "desk.slip-anew"
ASKED_FOR = timedelta(hours=1)


@dataclass(frozen=True)
class Asked:
    """What the second page asks: is this answer meant?"""

    offer: Offer
    is_yes: bool
    word: str
    reasons: list[tuple[str, str]]


def ask(link: SlipLink, answer: str) -> Asked | None:
    """The question, asked once more; None where there is nothing to answer now."""
    offer = open_offer(link.ticket)
    if offer is None:
        return None
    asked = {f"yes{one.quote.option}": one for one in offer.ways} | {"no": offer}
    if answer not in asked:
        return None
    offer, is_yes = asked[answer], answer != "no"
    word = signing.dumps(_meant(link, offer.quote, is_yes=is_yes), salt=SALT)
    reasons = [(str(v), str(label)) for v, label in QuoteAnswer.DeclineReason.choices]
    return Asked(offer, is_yes, word, [] if is_yes else reasons)


def open_offer(ticket: Ticket) -> Offer | None:
    """The quote that may be answered now."""
    now = timezone.now()
    state, turn = money.quote_state(ticket), tickets.turn_of(ticket, now)
    offer = offer_of(ticket, state, turn, now)
    return offer if offer is not None and offer.may_answer else None


def _meant(link: SlipLink, quote: Quote, *, is_yes: bool) -> list[int]:
    return [link.pk, quote.pk, quote.total_minor, int(is_yes)]


def keep(link: SlipLink, word: str, reason: str) -> str:
    """Keep the answer that was asked once more; what to tell instead, if it is not."""
    try:
        link_pk, quote_pk, total, is_yes = signing.loads(
            word, salt=SALT, max_age=ASKED_FOR
        )
    except (signing.BadSignature, ValueError, TypeError):
        return _("Nothing was kept: please answer once more.")
    quote = link.ticket.quotes.filter(pk=quote_pk, total_minor=total).first()
    if link_pk != link.pk or quote is None:
        return _("Nothing was kept: please answer once more.")
    is_reason = not is_yes and reason in QuoteAnswer.DeclineReason
    return _kept(link.ticket, quote, bool(is_yes), reason if is_reason else "")


def word_for_anew(link: SlipLink, offer: Offer | None) -> str:
    """What the page's own button sends, where a price is over and not asked anew."""
    if offer is None or not offer.may_ask_anew:
        return ""
    return signing.dumps([link.pk, offer.quote.pk], salt=SALT_ANEW)


def ask_anew(link: SlipLink, word: str) -> str:
    """Keep that a new price is asked for; what to tell instead, if it is not.

    It binds nobody to anything, so it is asked in one step.
    """
    try:
        link_pk, quote_pk = signing.loads(word, salt=SALT_ANEW, max_age=ASKED_FOR)
    except (signing.BadSignature, ValueError, TypeError):
        return _("Nothing was kept: please ask once more.")
    quote = link.ticket.quotes.filter(pk=quote_pk).first()
    if link_pk != link.pk or quote is None:
        return _("Nothing was kept: please ask once more.")
    return _asked_anew(link.ticket, quote)


@transaction.atomic
def _asked_anew(ticket: Ticket, quote: Quote) -> str:
    lock(ticket)
    if tickets.turn_of(ticket, timezone.now()).whose in ENDED:
        return _("Nothing was kept: the work has ended. Please call us.")
    try:
        billing.quote_ask_anew(quote=quote, channel=QuoteAnswer.Channel.SLIP_LINK)
    except Refused:
        return _("Nothing was kept: please look at the price once more.")
    return ""


@transaction.atomic
def _kept(ticket: Ticket, quote: Quote, is_yes: bool, reason: str) -> str:
    """Empty where it is kept; also where the same was kept by this link before."""
    lock(ticket)
    if tickets.turn_of(ticket, timezone.now()).whose in ENDED:
        return _("Nothing was kept: the work has ended. Please call us.")
    try:
        billing.quote_answer(
            quote=quote,
            is_yes=is_yes,
            answered_by=ticket.customer.name,
            channel=QuoteAnswer.Channel.SLIP_LINK,
            recorded_by=None,
            decline_reason=reason,
        )
    except Refused:
        return _why_not(ticket, quote, is_yes)
    return ""


def _why_not(ticket: Ticket, quote: Quote, is_yes: bool) -> str:
    """In words for the customer, and without the name of who answered first."""
    of_version = {"quote__ticket": ticket, "quote__version": quote.version}
    first = QuoteAnswer.objects.filter(**of_version).first()
    if first is None:
        return _("Nothing was kept: this price is no longer open.")
    is_same = first.quote_id == quote.pk or not is_yes
    is_by_link = first.channel == QuoteAnswer.Channel.SLIP_LINK
    if first.is_yes == is_yes and is_same and is_by_link:
        return ""
    at = timezone.localtime(first.at, ticket.shop.zone)
    values = {
        "version": first.quote.name,
        "day": date_format(at, "j F, H:i"),
        "how": first.get_channel_display(),
    }
    if first.is_yes:
        return (
            _(
                "Quote %(version)s was answered before: yes, %(how)s, %(day)s. "
                "The first answer stands. Please call us if it is wrong."
            )
            % values
        )
    return (
        _(
            "Quote %(version)s was answered before: no, %(how)s, %(day)s. "
            "The first answer stands. Please call us if it is wrong."
        )
        % values
    )
