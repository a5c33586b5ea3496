"""The ticket page's list of messages, with what can be done about each."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from django.db.models import Q, QuerySet
from django.http import HttpRequest
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from shop.billing import queries as money
from shop.intake.models import Customer, Ticket
from shop.messaging import accounts, words
from shop.people.models import Role, Shop, TextKind
from shop.records.models import OutgoingMessage

MOST_SHOWN = 20
PAYMENT_REMINDER = "payment_reminder"  # which another room asks for
UNSAID = {"no_text", "together"}  # nobody asked for these: they are not shown
TO_TELL = {"by_phone", "no_messages", "no_address"}
OF_WEIGHT = set(TextKind) - {TextKind.TAKEN_IN, TextKind.THANKS}
AT_THE_COUNTER = {Role.FRONT_DESK, Role.OWNER}


@dataclass(frozen=True)
class Shown:
    """One message: what it is about, how it stands, what may be done."""

    message: OutgoingMessage
    about: str
    state: str
    is_failed: bool
    may_try: bool
    may_tell: bool

    @property
    def named(self) -> str:
        """The paper that goes with it, where its number says something."""
        return accounts.named(self.message)


def panel(
    ticket: Ticket, held: Collection[Role], request: HttpRequest | None = None
) -> SafeString:
    rows = OutgoingMessage.objects.filter(ticket_id=ticket.pk).exclude(kind="")
    is_counter = bool(AT_THE_COUNTER & set(held))
    shown = [
        _shown(row, is_counter=is_counter)
        for row in rows.order_by("-id")
        if row.withheld not in UNSAID
    ]
    is_sent = any(one.message.kind == TextKind.INVOICE for one in shown)
    has_invoice = bool(ticket.customer.email) and bool(money.standing_invoice(ticket))
    context = {
        "ticket": ticket,
        "messages": shown,
        "may_send_invoice": is_counter and has_invoice and not is_sent,
    }
    return render_to_string("messaging/_panel.html", context, request=request)


def failed_of(tickets: Iterable[Ticket]) -> list[Shown]:
    """What could not be sent for good to these tickets' customers, oldest first."""
    rows = _failed().filter(ticket_id__in=[ticket.pk for ticket in tickets])
    return [_shown(row, is_counter=True) for row in rows]


def failed_papers(shop: Shop, open_ones: Iterable[Ticket]) -> list[Shown]:
    """What failed for good of no open ticket: to an account, or asking for payment."""
    is_paper = Q(ticket_id=None, customer_id__isnull=False) | Q(kind=PAYMENT_REMINDER)
    rows = _failed().filter(is_paper, shop_id=shop.pk)
    still_open = {ticket.pk for ticket in open_ones}
    return [
        _shown(row, is_counter=True) for row in rows if row.ticket_id not in still_open
    ]


def _failed() -> QuerySet[OutgoingMessage]:
    rows = OutgoingMessage.objects.filter(
        given_up_at__isnull=False, sent_at=None, withheld=""
    )
    return rows.exclude(kind="").order_by("id")


def of_account(customer: Customer) -> list[Shown]:
    """The newest of what an account was sent, each by itself."""
    rows = accounts.messages_of(customer)[:MOST_SHOWN]
    return [_shown(row, is_counter=True) for row in rows]


def _shown(message: OutgoingMessage, *, is_counter: bool) -> Shown:
    is_out = message.sent_at is not None and message.sent_by != "file"
    is_told = message.withheld in {"told", "otherwise", "over", "late"}
    is_failed = message.given_up_at is not None and not message.withheld
    is_to_tell = message.withheld in TO_TELL and message.kind in OF_WEIGHT
    is_stuck = is_failed or bool(message.last_error) or message.sent_by == "file"
    return Shown(
        message=message,
        about=words.kind_word(message.kind),
        state=words.state(message),
        is_failed=is_failed,
        may_try=is_counter
        and not message.sent_at
        and not is_told
        and (is_failed or message.withheld == "no_address"),
        may_tell=is_counter and not is_out and not is_told and (is_to_tell or is_stuck),
    )
