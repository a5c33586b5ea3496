"""What each kind of event does to a ticket's facts. PURE.

One rule a kind; a kind without a rule tells nothing about whose turn it is.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Any

from shop.records.kinds import Kind

Data = Mapping[str, Any]
FIRST_WORD, READY = "first_word", "ready"
FOUND_MORE = "found_more"  # why a ticket is parked that waits for a second yes
TAKEN_IN, SENT_TO_A_FILE = "taken_in", "file"
SAYS_READY = {"ready", "unclaimed_first", "unclaimed_second", "unclaimed_last"}
IMPORT_UNDONE = "import_undone"  # why a ticket is closed that nobody handed over


@dataclass(frozen=True)
class Happened:
    """An event, as far as it matters for whose turn it is."""

    kind: Kind
    at: datetime
    codes: Data = field(default_factory=dict)
    ids: Data = field(default_factory=dict)
    board_id: int | None = None
    person_id: int | None = None


@dataclass(frozen=True)
class Park:
    party: str
    because: str
    until: datetime | None
    by: int | None = None


@dataclass(frozen=True)
class Facts:
    """What the events so far amount to."""

    silent_since: datetime
    step: str = "board_not_named"
    is_agreed: bool = False
    has_yes: bool = False
    is_cover_open: bool = False
    answered_version: Any = None
    open_quote: Data | None = None
    is_price_asked: bool = False  # anew, the quote being over
    orders: Mapping[Any, Any] = field(default_factory=dict)
    in_hands: Mapping[int | None, int | None] = field(default_factory=dict)
    park: Park | None = None
    has_outcome: bool = False
    open_invoices: int = 0
    is_told_ready: bool = False
    is_closed: bool = False
    promises: Mapping[str, datetime] = field(default_factory=dict)  # unkept ones
    has_promised: bool = False
    next_contact: date | None = None

    @property
    def is_ended(self) -> bool:
        return self.has_outcome or self.open_invoices > 0


Rule = Callable[[Facts, Happened], Facts]


def nothing(facts: Facts, event: Happened) -> Facts:
    return facts


def _opened(facts: Facts, event: Happened) -> Facts:
    is_pack_first = event.codes.get("hot_or_swollen") == "yes"
    return replace(
        facts,
        step="pack_first" if is_pack_first else "board_not_named",
        is_agreed=bool(event.codes.get("is_pre_approved")),
        is_cover_open=event.codes.get("intake_kind") == "warranty",
    )


def _finished(facts: Facts, event: Happened) -> Facts:
    """What was left out at a quick intake; a doubtful pack comes first."""
    is_new = facts.step in {"board_not_named", "cold_not_started"}
    is_pack_first = is_new and event.codes.get("hot_or_swollen") == "yes"
    return replace(
        facts,
        step="pack_first" if is_pack_first else facts.step,
        is_agreed=facts.is_agreed or bool(event.codes.get("is_pre_approved")),
    )


def _cover_decided(facts: Facts, event: Happened) -> Facts:
    """Covered work is agreed; what is not covered waits for a quote."""
    is_covered = bool(event.codes.get("is_covered"))
    return replace(
        facts,
        is_cover_open=False,
        is_agreed=is_covered,
        step="repair_covered" if is_covered else "quote_to_write",
    )


def _joined(facts: Facts, event: Happened) -> Facts:
    is_first = facts.step == "board_not_named"
    return replace(facts, step="cold_not_started") if is_first else facts


def _taken(facts: Facts, event: Happened) -> Facts:
    """In somebody's hands: one board a person; a parked ticket is so no more.

    But for one that waits for a second yes: only an answer, or who says so, ends that.
    """
    if facts.park is not None and facts.park.because == FOUND_MORE:
        return facts
    held = {b: p for b, p in facts.in_hands.items() if p != event.person_id}
    held[event.board_id] = event.person_id
    is_new = facts.step in {"board_not_named", "pack_first", "cold_not_started"}
    step = "readings" if is_new else facts.step
    return replace(facts, in_hands=held, park=None, step=step)


def _put_down(facts: Facts, event: Happened) -> Facts:
    held = {b: p for b, p in facts.in_hands.items() if b != event.board_id}
    return replace(facts, in_hands=held)


def _found(facts: Facts, event: Happened) -> Facts:
    if facts.step == "outcome_to_record":
        return facts
    is_repaired = facts.is_agreed or bool(event.codes.get("proven"))
    return replace(facts, step="proof" if is_repaired else _word_to_write(facts))


def _suspected(facts: Facts, event: Happened) -> Facts:
    return facts if facts.is_agreed else replace(facts, step=_word_to_write(facts))


def _word_to_write(facts: Facts) -> str:
    """A warranty check is decided before any price is named."""
    return "cover_to_decide" if facts.is_cover_open else "quote_to_write"


def _worked(facts: Facts, event: Happened) -> Facts:
    return replace(facts, step="proof") if facts.is_agreed else facts


def _proved(facts: Facts, event: Happened) -> Facts:
    """One item of the proof; its end is said once nothing of it is left to do."""
    is_complete = event.codes.get("is_complete", True)
    return replace(facts, step="outcome_to_record" if is_complete else "proof")


def _quoted(facts: Facts, event: Happened) -> Facts:
    details = {**event.ids, **event.codes}
    quoted = replace(
        facts, open_quote=details, is_price_asked=False, step="quote_to_write"
    )
    return _spoken(quoted, event)


def _price_asked(facts: Facts, event: Happened) -> Facts:
    """The customer let a quote run out and wants another: no longer their turn."""
    park = facts.park
    is_waited_for = park is not None and park.party == "customer"
    return replace(
        facts,
        silent_since=event.at,
        open_quote=None,
        is_price_asked=True,
        park=None if is_waited_for else park,
    )


def _answered(facts: Facts, event: Happened) -> Facts:
    """An answer to an earlier version leaves the newer one open.

    A no to more leaves agreed what was agreed before. It ends the waiting for it.
    """
    is_yes = event.kind == Kind.QUOTE_ACCEPTED
    quote = facts.open_quote
    is_newest = quote is None or quote.get("version") == event.ids.get("version")
    has_yes = is_yes or facts.has_yes
    after_no = "more_declined" if has_yes else "give_back_unrepaired"
    is_waited_for = facts.park is not None and facts.park.because == FOUND_MORE
    return replace(
        facts,
        silent_since=event.at,
        open_quote=None if is_newest else quote,
        is_price_asked=facts.is_price_asked and not is_newest,
        is_agreed=has_yes,
        has_yes=has_yes,
        park=None if is_waited_for else facts.park,
        answered_version=event.ids.get("version"),
        step="repair" if is_yes else after_no,
    )


def _ordered(facts: Facts, event: Happened) -> Facts:
    line, due = event.ids.get("order_line"), event.codes.get("due_on")
    return replace(facts, orders={**facts.orders, line: due})


def _arrived(facts: Facts, event: Happened) -> Facts:
    line = event.ids.get("order_line")
    left = {key: due for key, due in facts.orders.items() if key != line}
    return replace(facts, orders=left, step=facts.step if left else "part_here")


def _put_off(facts: Facts, event: Happened) -> Facts:
    is_awaited = event.ids.get("order_line") in facts.orders
    return _ordered(facts, event) if is_awaited else facts


def _order_ended(facts: Facts, event: Happened) -> Facts:
    """No part came: what was to be done before it is to be done still."""
    line = event.ids.get("order_line")
    left = {key: due for key, due in facts.orders.items() if key != line}
    return replace(facts, orders=left)


def _parked(facts: Facts, event: Happened) -> Facts:
    until = event.codes.get("until")
    park = Park(
        party=str(event.codes.get("waits_for", "")),
        because=str(event.codes.get("because", "")),
        until=datetime.fromisoformat(until) if until else None,
        by=event.person_id,
    )
    return replace(facts, park=park, in_hands={})


def _unparked(facts: Facts, event: Happened) -> Facts:
    return replace(facts, park=None)


def _promised(facts: Facts, event: Happened) -> Facts:
    """A first word and a finished machine are promised apart."""
    about = str(event.codes.get("about", READY))
    moment = datetime.fromisoformat(event.codes["promise"])
    return replace(facts, promises={**facts.promises, about: moment}, has_promised=True)


def _spoken(facts: Facts, event: Happened) -> Facts:
    """We were in touch: a promise of a word is kept."""
    day = event.codes.get("next_contact")
    return replace(
        facts,
        silent_since=event.at,
        next_contact=date.fromisoformat(day) if day else None,
        promises={a: at for a, at in facts.promises.items() if a != FIRST_WORD},
    )


def _told(facts: Facts, event: Happened) -> Facts:
    return _spoken(replace(facts, is_told_ready=facts.has_outcome), event)


def _written_to(facts: Facts, event: Happened) -> Facts:
    """A message that left the house is a word; one written to a file is none.

    That it was taken in is no first word yet, and no message moves the next contact.
    """
    if event.codes.get("sent_by") == SENT_TO_A_FILE:
        return facts
    about = event.codes.get("about")
    spoken = replace(facts, silent_since=event.at)
    if about == TAKEN_IN:
        return spoken
    promises = {a: at for a, at in facts.promises.items() if a != FIRST_WORD}
    is_told = about in SAYS_READY and facts.has_outcome
    return replace(
        spoken, promises=promises, is_told_ready=facts.is_told_ready or is_told
    )


def _ended(facts: Facts, event: Happened) -> Facts:
    return replace(facts, has_outcome=True, in_hands={}, promises={})


def _invoiced(facts: Facts, event: Happened) -> Facts:
    return replace(facts, open_invoices=facts.open_invoices + 1, in_hands={})


def _credited(facts: Facts, event: Happened) -> Facts:
    return replace(facts, open_invoices=max(0, facts.open_invoices - 1))


def _paid(facts: Facts, event: Happened) -> Facts:
    return replace(facts, silent_since=event.at)


def _closed(facts: Facts, event: Happened) -> Facts:
    closed = replace(facts, is_closed=True, in_hands={}, silent_since=event.at)
    return replace(closed, promises={}, next_contact=None)


RULES: Mapping[Kind, Rule] = {
    Kind.TICKET_OPENED: _opened,
    Kind.INTAKE_FINISHED: _finished,
    Kind.INTAKE_ANSWERED: _finished,
    Kind.WARRANTY_DECIDED: _cover_decided,
    Kind.BOARD_JOINED: _joined,
    Kind.BOARD_TAKEN: _taken,
    Kind.BOARD_PUT_DOWN: _put_down,
    Kind.SUSPECT_NAMED: _suspected,
    Kind.FINDING_CONFIRMED: _found,
    Kind.INTERVENTION_DONE: _worked,
    Kind.PROOF_GIVEN: _proved,
    Kind.QUOTE_SENT: _quoted,
    Kind.QUOTE_ACCEPTED: _answered,
    Kind.QUOTE_DECLINED: _answered,
    Kind.NEW_PRICE_ASKED: _price_asked,
    Kind.PART_ORDERED: _ordered,
    Kind.PART_ARRIVED: _arrived,
    Kind.ORDER_PUT_OFF: _put_off,
    Kind.ORDER_ENDED: _order_ended,
    Kind.NOTICE_GIVEN: _spoken,
    Kind.PARKED: _parked,
    Kind.UNPARKED: _unparked,
    Kind.PROMISE_MADE: _promised,
    Kind.CUSTOMER_TOLD: _told,
    Kind.MESSAGE_SENT: _written_to,
    Kind.OUTCOME_RECORDED: _ended,
    Kind.INVOICE_ISSUED: _invoiced,
    Kind.CREDIT_NOTE_ISSUED: _credited,
    Kind.PAYMENT_TAKEN: _paid,
    Kind.TICKET_CLOSED: _closed,
}
TELLING_KINDS = frozenset(RULES)
