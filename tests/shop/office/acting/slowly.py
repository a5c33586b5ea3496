"""The office's lists anew from raw rows: no turn, no sums of ours, and slow.

A ticket's place is told for every prefix of its events; money is added up paper by
paper. Only the facts of the events are shared with what is tested.
"""

from collections import Counter
from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any

from shop.billing import queries as money
from shop.billing.account_models import BilledTicket
from shop.billing.models import Invoice, Payment
from shop.billing.totals import totals
from shop.intake.account_models import AccountTerms
from shop.intake.models import Ticket
from shop.people.models import Shop
from shop.records.models import Event

Place = tuple[str, str]  # whose turn, and what for


def events_of(ticket: Ticket) -> list[Event]:
    return list(Event.objects.filter(ticket_id=ticket.pk).order_by("id"))


def place(events: Sequence[Event], at: datetime) -> Place:
    """Where the ticket is after these events."""
    kinds = [event.kind for event in events]
    if "outcome_recorded" in kinds:
        return "handover", "ready"
    if kinds.count("invoice_issued") > kinds.count("credit_note_issued"):
        return "handover", "billed"
    if (parked := _parked(events, at)) is not None:
        return parked
    if (quote := _open_quote(events)) is not None:
        return "customer", f"quote {quote}"
    if awaited := _awaited(events):
        return "supplier", min((due for due in awaited.values() if due), default="")
    held: dict[Any, Any] = {}
    for event in events:
        if event.kind == "board_taken":
            held = {b: p for b, p in held.items() if p != event.person_id}
            held[event.board_id] = event.person_id
        if event.kind == "parked":
            held = {}
        if event.kind == "board_put_down":
            held.pop(event.board_id, None)
    return ("ours", "held") if held else ("ours", "queue")


def _parked(events: Sequence[Event], at: datetime) -> Place | None:
    park = None
    for event in events:
        if event.kind == "parked":
            park = event
        is_second = park is not None and park.codes.get("because") == "found_more"
        if event.kind == "board_taken" and not is_second:
            park = None
        if event.kind in {"quote_accepted", "quote_declined"} and is_second:
            park = None
        if event.kind == "unparked":
            park = None
    if park is None:
        return None
    until = park.codes.get("until")
    if until and datetime.fromisoformat(until) <= at:
        return None
    party = {"customer": "customer", "specialist": "supplier"}
    whose = party.get(str(park.codes.get("waits_for")), "ours")
    return whose, f"parked {park.codes.get('because')}"


def _open_quote(events: Sequence[Event]) -> int | None:
    sent = None
    for event in events:
        if event.kind == "quote_sent":
            sent = event.ids.get("version")
        is_answer = event.kind in {"quote_accepted", "quote_declined"}
        if is_answer and event.ids.get("version") == sent:
            sent = None
    return sent


def _awaited(events: Sequence[Event]) -> dict[int, str]:
    awaited: dict[int, str] = {}
    for event in events:
        line = event.ids.get("order_line")
        if event.kind == "part_ordered" or (
            event.kind == "order_put_off" and line in awaited
        ):
            awaited[line] = event.codes.get("due_on") or ""
        if event.kind in {"part_arrived", "order_ended"}:
            awaited.pop(line, None)
    return awaited


def since(events: Sequence[Event], now: datetime) -> datetime:
    """The start of the present stretch: back while the whole place stays the same."""
    here = _rough(place(events, now))
    start = events[-1].at
    for count in range(len(events), 0, -1):
        at = events[count - 1].at
        if _rough(place(events[:count], at)) != here:
            break
        start = at
    return start


def _rough(found: Place) -> Place:
    whose, what = found
    if whose != "ours":
        return whose, ""
    return whose, "parked" if what.startswith("parked") else what


def promise(events: Sequence[Event]) -> datetime | None:
    """The next one that stands."""
    standing: dict[str, datetime] = {}
    for event in events:
        if event.kind == "promise_made":
            about = str(event.codes.get("about", "ready"))
            standing[about] = datetime.fromisoformat(event.codes["promise"])
        if event.kind in {"quote_sent", "customer_told", "notice_given"}:
            standing.pop("first_word", None)
        is_word = event.kind == "message_sent" and event.codes.get("sent_by") != "file"
        if is_word and event.codes.get("about") != "taken_in":
            standing.pop("first_word", None)
        if event.kind == "outcome_recorded":
            standing.clear()
    return min(standing.values(), default=None)


def open_tickets(shop: Shop) -> list[Ticket]:
    return [one for one in Ticket.objects.filter(shop=shop) if not _closed(one)]


def _closed(ticket: Ticket) -> bool:
    return Event.objects.filter(ticket_id=ticket.pk, kind="ticket_closed").exists()


def in_queue(shop: Shop, now: datetime) -> dict[Ticket, datetime]:
    found = {}
    for ticket in open_tickets(shop):
        events = events_of(ticket)
        if place(events, now) == ("ours", "queue"):
            found[ticket] = since(events, now)
    return found


def broken(shop: Shop, now: datetime) -> set[int]:
    found = set()
    for ticket in open_tickets(shop):
        events = events_of(ticket)
        whose, _what = place(events, now)
        by = promise(events)
        if by is not None and by < now and whose in {"ours", "supplier"}:
            found.add(ticket.pk)
    return found


def no_part(shop: Shop, now: datetime) -> set[int]:
    """Promised within seven days, and a part on order that comes too late."""
    found = set()
    for ticket in open_tickets(shop):
        events = events_of(ticket)
        whose, due = place(events, now)
        by = promise(events)
        if by is None or whose != "supplier" or not now <= by <= now + timedelta(7):
            continue
        today, day = (at.astimezone(shop.zone).date().isoformat() for at in (now, by))
        if not due or due < today or due >= day:
            found.add(ticket.pk)
    return found


def unanswered(shop: Shop, now: datetime, longer_than: timedelta) -> set[int]:
    found = set()
    for ticket in open_tickets(shop):
        events = events_of(ticket)
        whose, what = place(events, now)
        is_asked = what.startswith("quote ") or what == "parked found_more"
        is_long = now - since(events, now) > longer_than
        if whose == "customer" and is_asked and is_long:
            found.add(ticket.pk)
    return found


def owed_by_ticket(shop: Shop) -> Counter[int]:
    owed: Counter[int] = Counter()
    for paper in Invoice.objects.filter(shop=shop, ticket__isnull=False):
        owed[paper.ticket_id or 0] += paper.total_minor
    for payment in Payment.objects.filter(shop=shop, ticket__isnull=False):
        if payment.invoice is None or payment.invoice.ticket_id is not None:
            owed[payment.ticket_id or 0] -= payment.settled.minor
    return owed


def not_collected(shop: Shop) -> set[int]:
    owed = owed_by_ticket(shop)
    return {
        one.pk
        for one in open_tickets(shop)
        if hasattr(one, "outcome") and owed[one.pk] > 0
    }


def long_owed(shop: Shop, today: date, days: int) -> dict[int, int]:
    """By invoice, what is unpaid of those that are due for longer."""
    found: dict[int, int] = {}
    for pk, owed in owed_by_ticket(shop).items():
        left = owed
        papers = Invoice.objects.filter(ticket=pk, corrects=None).order_by("-pk")
        for paper in papers:
            back = sum(note.total_minor for note in paper.credit_notes.all())
            part = min(left, paper.total_minor + back)
            left -= part
            if part > 0 and (today - paper.due_on).days > days:
                found[paper.pk] = part
    for paper in Invoice.objects.filter(shop=shop, ticket=None, corrects=None):
        back = sum(note.total_minor for note in paper.credit_notes.all())
        paid = sum(one.settled.minor for one in paper.payments.all())
        part = paper.total_minor - paper.prepaid_minor + back - paid
        if part > 0 and (today - paper.due_on).days > days:
            found[paper.pk] = part
    return found


def unbilled(shop: Shop, now: datetime) -> set[int]:
    """Ended, and what papers would bill now comes to something.

    An account's machine is billed when the month of its handover is over.
    """
    found = set()
    for ticket in Ticket.objects.filter(shop=shop, outcome__isnull=False):
        if BilledTicket.objects.filter(ticket=ticket).exists():
            continue
        if money.standing_invoice(ticket) is not None or ticket.old_number:
            continue
        if _month_goes_on(ticket, now):
            continue
        if totals(money.work_lines(ticket), ticket.currency).total.amount > 0:
            found.add(ticket.pk)
    return found


def _month_goes_on(ticket: Ticket, now: datetime) -> bool:
    zone = ticket.shop.zone
    rules = AccountTerms.objects.filter(
        customer=ticket.customer, valid_from__lte=now
    ).order_by("valid_from", "id")
    last = rules.last()
    if not ticket.customer.is_account or last is None or not last.is_open:
        return False
    handover = getattr(ticket, "handover", None)
    left, today = (
        (handover.at if handover else now).astimezone(zone),
        now.astimezone(zone),
    )
    return (left.year, left.month) >= (today.year, today.month)


def to_go_on(shop: Shop, queue: dict[Ticket, datetime]) -> set[int]:
    """Of those in the queue: the last word is a yes, or a part came after one.

    Nothing was done since that leads elsewhere.
    """
    leads_on = {
        *("intervention_done", "finding_confirmed", "proof_given", "quote_declined"),
        "suspect_named",
    }
    found = set()
    for ticket in queue:
        kinds = [event.kind for event in events_of(ticket)]
        covered = [
            bool(event.codes.get("is_covered"))
            for event in events_of(ticket)
            if event.kind == "warranty_decided"
        ]
        steps = [
            kind
            for kind in kinds
            if kind in leads_on | {"quote_accepted", "part_arrived", "warranty_decided"}
        ]
        has_yes = "quote_accepted" in kinds or bool(ticket.pre_approved_minor)
        last = steps[-1] if steps else ""
        is_covered = last == "warranty_decided" and covered[-1]
        if is_covered or (has_yes and last in {"quote_accepted", "part_arrived"}):
            found.add(ticket.pk)
    return found
