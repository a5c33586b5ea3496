"""What happened to a ticket, as sentences in the reader's language."""

from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from shop.intake import settings_words
from shop.intake.facts import FIRST_WORD, IMPORT_UNDONE, SENT_TO_A_FILE
from shop.intake.models import (
    Answer,
    Channel,
    ClosingKind,
    NoFixReason,
    Purpose,
    SafeBy,
)
from shop.intake.outage_models import VoidReason
from shop.intake.passcode_models import PasscodeKind, ShownFor
from shop.intake.read_out import kept
from shop.intake.read_out_words import sentences
from shop.intake.story import PARTS
from shop.intake.words import (
    capital,
    day_words,
    moment_of,
    moment_words,
    parked_words,
    plain_code,
)
from shop.money import Money
from shop.people.models import TextKind
from shop.records.kinds import Kind
from shop.records.models import Event

Text = str | Promise
QUESTIONS: Mapping[str, Text] = {
    "liquid": gettext_lazy("liquid"),
    "dropped": gettext_lazy("dropped"),
    "hot_or_swollen": gettext_lazy("hot, smelling or swollen"),
    "opened_before": gettext_lazy("opened before"),
}
FACTS: Mapping[str, Text] = {
    "kind": gettext_lazy("kind"),
    "model": gettext_lazy("model"),
    "serial": gettext_lazy("serial number"),
    "board_number_seen": gettext_lazy("board number"),
    "year_made": gettext_lazy("year made or bought"),
}
BY_LINK = "slip_link"  # how an answer came that the customer gave by themselves
Namer = Callable[[Event, str, str], str | None]
NAMERS: list[Namer] = []


def happened(event: Event) -> str:
    """An event in words, for the list of what happened to a ticket.

    Kinds of later rooms and versions are shown by their plain code.
    """
    say = SAYINGS.get(event.kind)
    if say is None:
        return plain_code(event.kind).capitalize()
    return say(event) if callable(say) else str(say)


def _amount(event: Event, name: str) -> str:
    """``, 92.82`` when the event carries that amount and its currency."""
    minor, currency = event.amounts.get(name), event.codes.get("currency")
    if minor is None or not currency:
        return ""
    return f", {Money.from_minor(int(minor), currency)}"


def codes_named_by(namer: Namer) -> None:
    """A later room tells the names of its own codes (a part, a way to fail)."""
    NAMERS.append(namer)


def _code(event: Event, name: str) -> str:
    code = str(event.codes.get(name) or "")
    named = (namer(event, name, code) for namer in NAMERS)
    return next(filter(None, named), None) or plain_code(code)


def _id(event: Event, name: str) -> str:
    return str(event.ids.get(name, ""))


def _label(choices: type[Any], value: object) -> str:
    return str(dict(choices.choices).get(value, value or ""))


def _said_opened(event: Event) -> str:
    old = event.codes.get("old_number")
    return _("Taken in, old number %(old)s") % {"old": old} if old else _("Taken in")


def _said_typed_in(event: Event) -> str:
    """Both times: when it was taken in, and when somebody typed that."""
    taken = event.codes.get("taken_in")
    if not taken:
        return _("Typed in later from paper")
    when = {"taken": moment_of(taken), "typed": moment_words(event.recorded_at)}
    return _("Typed in later from paper: taken in %(taken)s, typed %(typed)s") % when


def _said_sheet(event: Event) -> str:
    count = int(event.codes.get("count") or 0)
    text = ngettext(
        "%(n)d reading typed in later from a bench sheet",
        "%(n)d readings typed in later from a bench sheet",
        count,
    )
    return text % {"n": count}


def _said_pack(event: Event) -> str:
    codes = {name: event.codes.get(name) for name in ("first", "last")}
    return _("Blank slips %(first)s to %(last)s printed") % codes


def _said_paper_void(event: Event) -> str:
    why = _label(VoidReason, event.codes.get("reason"))
    said = {"number": event.codes.get("number"), "why": why}
    return _("Blank slip %(number)s is void: %(why)s") % said


def _said_closed(event: Event) -> str:
    if event.codes.get("why") == IMPORT_UNDONE:
        return _("Closed: its import was undone")
    return _("Handed over")


def _said_told(event: Event) -> str:
    how = _label(Channel, event.codes.get("channel"))
    text = _("Told the customer by %(how)s") % {"how": how}
    if event.codes.get("has_phoned"):
        text = _("Phoned in, and was told")
    if said := kept(event.codes, event.amounts):
        text = _("%(text)s: “%(said)s”") % {
            "text": text,
            "said": " ".join(sentences(said)),
        }
    day = event.codes.get("next_contact")
    if not day:
        return text
    again = {"text": text, "day": day_words(date.fromisoformat(day))}
    return _("%(text)s; next word on %(day)s") % again


def _said_message(event: Event) -> str:
    said = {
        "about": _label(TextKind, event.codes.get("about")),
        "how": _label(Channel, event.codes.get("channel")),
    }
    if event.kind == Kind.MESSAGE_OTHERWISE:
        return _("Given to the customer another way: %(about)s") % said
    if event.kind == Kind.MESSAGE_FAILED:
        return _("Message could not be sent: %(about)s") % said
    if event.codes.get("sent_by") == SENT_TO_A_FILE:
        return _("Message written to a file: %(about)s") % said
    return _("Message sent by %(how)s: %(about)s") % said


def _said_promise(event: Event) -> str:
    when = {"when": moment_of(event.codes["promise"])}
    if event.codes.get("about") == FIRST_WORD:
        return _("Promised a first word by %(when)s") % when
    return _("Promised to be ready by %(when)s") % when


def _said_parked(event: Event) -> str:
    until = event.codes.get("until")
    details = {
        "because": _code(event, "because").replace(" ", "_"),
        "until": datetime.fromisoformat(until) if until else None,
    }
    return capital(parked_words(str(event.codes.get("waits_for", "")), details))


def _said_decided(event: Event) -> str:
    if event.codes.get("is_covered"):
        return _("Decided: covered by the warranty")
    return _("Decided: not covered by the warranty")


def _said_goodwill(event: Event) -> str:
    if event.codes.get("is_given"):
        return _("At no charge, out of goodwill")
    return _("Charged after all, no goodwill")


def _said_safe(event: Event) -> str:
    how = event.codes.get("how")
    if not how:
        return _("Data safe")
    return _("Data safe: %(how)s") % {"how": _label(SafeBy, how)}


def _said_asked(event: Event) -> str:
    said = {
        "question": _asked(str(event.codes.get("question", ""))),
        "answer": _label(Answer, event.codes.get("answer")),
    }
    return _("Asked later: %(question)s, %(answer)s") % said


def _asked(question: str) -> str:
    known = {**dict(Purpose.choices), **QUESTIONS}
    return str(known.get(question, plain_code(question)))


def _said_outcome(event: Event) -> str:
    kind = _label(ClosingKind, event.codes.get("kind"))
    reason = event.codes.get("no_fix_reason")
    if not reason:
        return _("Ended: %(kind)s") % {"kind": kind}
    why = {"kind": kind, "reason": _label(NoFixReason, reason)}
    return _("Ended: %(kind)s, %(reason)s") % why


def _said_story(event: Event) -> str:
    part = str(event.codes.get("part", ""))
    return _("Written: %(part)s") % {"part": str(PARTS.get(part, part)).lower()}


def _said_device(event: Event) -> str:
    facts = ", ".join(str(FACTS.get(f, f)) for f in event.codes.get("facts", ()))
    return _("Put right of the device: %(facts)s") % {"facts": facts}


def _said_moved(event: Event) -> str:
    if not event.codes.get("place"):
        return _("Thing %(tag)s: last move taken back") % {"tag": _id(event, "tag")}
    where = {"tag": _id(event, "tag"), "place": event.codes.get("place", "")}
    return _("Thing %(tag)s put at %(place)s") % where


def _said_quote(text: Text) -> Callable[[Event], str]:
    def say(event: Event) -> str:
        option = str(event.codes.get("option") or "")
        version = {"version": f"{_id(event, 'version')} {option}".strip()}
        said = str(text) % version + _amount(event, "total")
        if event.codes.get("channel") == BY_LINK:
            said = _("%(said)s, by slip link") % {"said": said}
        reason = _code(event, "decline_reason")
        return f"{said}: {reason}" if reason else said

    return say


def _said_erased(event: Event) -> str:
    """By itself after its time, or a name that the owner took off a sale."""
    if event.codes.get("what") == "sales":
        return _("The name on sales at the counter erased")
    return _("Kept long enough: what was personal is erased")


def _said_paper(text: Text) -> Callable[[Event], str]:
    def say(event: Event) -> str:
        return str(text) % {"number": _id(event, "number")} + _amount(event, "total")

    return say


def _said_time(event: Event) -> str:
    minutes = int(event.amounts.get("minutes", 0))
    text = _("Time taken back") if minutes < 0 else _("Time")
    return f"{text}: {_code(event, 'kind')}, {abs(minutes)} min"


def _said_taken(event: Event) -> str:
    if event.ids.get("undoes"):
        return _("Taken in hand again: the move was taken back")
    return _("Taken in hand")


def _said_machine_ended(event: Event) -> str:
    minutes = int(event.amounts.get("minutes", 0))
    return f"{_('Machine ended')}: {_code(event, 'kind')}, {minutes} min"


def _said_part(event: Event) -> str:
    quantity = int(event.amounts.get("quantity", 1))
    text = _("Part taken back") if quantity < 0 else _("Part used")
    return f"{text}: {_code(event, 'part_id')}".rstrip(": ")


def _said_ordered(event: Event) -> str:
    due = event.codes.get("due_on")
    if not due:
        return _("Part ordered")
    return _("Part ordered, due %(day)s") % {"day": day_words(date.fromisoformat(due))}


def _said_paid(event: Event) -> str:
    return _("Paid by %(how)s") % {"how": _code(event, "method")} + _amount(
        event, "amount"
    )


def _said_with(text: Text, *names: str) -> Callable[[Event], str]:
    """A sentence followed by the codes that the event carries."""

    def say(event: Event) -> str:
        codes = [_code(event, name) for name in names if event.codes.get(name)]
        return f"{text}: {', '.join(codes)}" if codes else str(text)

    return say


def _said_passcode(text: Text, name: str, choices: type[Any]) -> Callable[[Event], str]:
    def say(event: Event) -> str:
        return f"{text}: {_label(choices, event.codes.get(name))}"

    return say


def _said_photos(event: Event) -> str:
    count = int(event.amounts.get("photos", 1))
    said = ngettext("%(n)d photo erased", "%(n)d photos erased", count)
    return said % {"n": count}


def _said_notice(event: Event) -> str:
    return _("Notice %(number)s to collect it") % {"number": _id(event, "number")}


def _said_put_off(event: Event) -> str:
    if not (due := event.codes.get("due_on")):
        return _("Part late")
    day = {"day": day_words(date.fromisoformat(due))}
    return _("Part late: new date %(day)s") % day


def _said_order_ended(event: Event) -> str:
    if event.codes.get("why") == "other_supplier":
        return _("Order ended: ordered from another supplier")
    return _("Order cancelled")


def _said_restored(event: Event) -> str:
    made = event.codes.get("made_at")
    if not made:
        return _("A backup put back")
    return _("A backup put back, made %(when)s") % {"when": moment_of(made)}


SAYINGS: Mapping[str, Text | Callable[[Event], str]] = {
    Kind.TICKET_OPENED: _said_opened,
    Kind.CUSTOMER_TOLD: _said_told,
    Kind.PROMISE_MADE: _said_promise,
    Kind.MESSAGE_SENT: _said_message,
    Kind.MESSAGE_FAILED: _said_message,
    Kind.MESSAGE_OTHERWISE: _said_message,
    Kind.THING_MOVED: _said_moved,
    Kind.THING_RETURNED: lambda e: (
        _("Thing %(tag)s given back") % {"tag": _id(e, "tag")}
    ),
    Kind.PLACE_MADE: _said_with(gettext_lazy("Place made"), "name"),
    Kind.PLACE_ENDED: _said_with(gettext_lazy("Place ended"), "name"),
    Kind.PACK_PRINTED: _said_pack,
    Kind.PAPER_VOIDED: _said_paper_void,
    Kind.PAPER_RESTORED: lambda e: (
        _("Blank slip %(number)s is void no more") % {"number": e.codes.get("number")}
    ),
    Kind.TYPED_IN_LATER: _said_typed_in,
    Kind.PARKED: _said_parked,
    Kind.UNPARKED: gettext_lazy("Taken up again"),
    Kind.STORY_WRITTEN: _said_story,
    Kind.DEVICE_CHANGED: _said_device,
    Kind.OUTCOME_RECORDED: _said_outcome,
    Kind.TICKET_CLOSED: _said_closed,
    Kind.PASSCODE_KEPT: _said_passcode(gettext_lazy("Passcode"), "kind", PasscodeKind),
    Kind.PASSCODE_SHOWN: _said_passcode(
        gettext_lazy("Passcode shown"), "reason", ShownFor
    ),
    Kind.PASSCODE_ERASED: gettext_lazy("Passcode erased"),
    Kind.PHOTO_ERASED: _said_photos,
    Kind.SLIP_LINK_SEEN: gettext_lazy("The slip link was opened"),
    Kind.SLIP_LINK_RENEWED: gettext_lazy("A new slip link made"),
    Kind.SLIP_LINK_REVOKED: gettext_lazy("Slip link ended"),
    Kind.STATION_ENROLLED: gettext_lazy("Station enrolled"),
    Kind.STATION_ENDED: gettext_lazy("Station ended"),
    Kind.PERSON_JOINED: gettext_lazy("Somebody joined the shop"),
    Kind.PERSON_LEFT: gettext_lazy("Somebody left the shop"),
    Kind.ROLE_GIVEN: _said_with(gettext_lazy("A role given"), "role"),
    Kind.ROLE_TAKEN: _said_with(gettext_lazy("A role taken back"), "role"),
    Kind.PASSWORD_GIVEN: gettext_lazy("A new first password given"),
    Kind.FACTORS_RESET: gettext_lazy("Second factors taken off"),
    Kind.PIN_SET: gettext_lazy("PIN set"),
    Kind.BADGE_MADE: gettext_lazy("Badge made"),
    Kind.BADGE_ENDED: gettext_lazy("Badge ended"),
    Kind.SHOP_OPENED: gettext_lazy("The shop was set up"),
    Kind.SHOP_RESTORED: _said_restored,
    Kind.SIGN_IN_RECOVERED: gettext_lazy("Sign-in recovered at the machine itself"),
    Kind.SETTINGS_CHANGED: settings_words.settings_said,
    Kind.TERMS_SET: settings_words.said(gettext_lazy("New rates")),
    Kind.TERMS_WITHDRAWN: gettext_lazy("Coming rates withdrawn"),
    Kind.OFFICE_LIMITS_SET: settings_words.said(gettext_lazy("Limits of the office")),
    Kind.TEXTS_READ: gettext_lazy("Texts read and found right"),
    Kind.IMPORT_DONE: gettext_lazy("Brought in from a file"),
    Kind.IMPORT_UNDONE: gettext_lazy("A file taken back"),
    Kind.PRINTERS_SET: settings_words.said(gettext_lazy("Printers of a station set")),
    Kind.METER_KEPT: settings_words.said(gettext_lazy("Meter kept")),
    Kind.BOARD_MODEL_CHANGED: settings_words.said(gettext_lazy("Board model changed")),
    Kind.BOARD_JOINED: gettext_lazy("Board named"),
    Kind.BOARD_TAKEN: _said_taken,
    Kind.BOARD_PUT_DOWN: gettext_lazy("Put down"),
    Kind.POINT_NOT_FITTED: _said_with(gettext_lazy("Not fitted on this board"), "what"),
    Kind.READING_STRUCK: gettext_lazy("A reading struck through"),
    Kind.SHEET_TYPED_IN: _said_sheet,
    Kind.CAME_LATE: gettext_lazy("Came from a tablet after the ticket was closed"),
    Kind.NOT_CONFIRMED: gettext_lazy("Done under a name that the PIN did not confirm"),
    Kind.GATE_OVERRULED: _said_with(gettext_lazy("Limited power"), "check", "gate"),
    Kind.SUSPECT_NAMED: _said_with(gettext_lazy("Suspect named"), "part", "mode"),
    Kind.SUSPECT_ADDED: _said_with(gettext_lazy("Suspect added"), "part", "mode"),
    Kind.SUSPECT_STRUCK: _said_with(gettext_lazy("Suspect struck"), "part", "mode"),
    Kind.SUSPECT_WORD_BACK: _said_with(
        gettext_lazy("Word on a suspect taken back"), "part", "mode"
    ),
    Kind.SIGHTING_KEPT: _said_with(gettext_lazy("Seen"), "kind", "part", "rail"),
    Kind.SIGHTING_STRUCK: gettext_lazy("A sighting struck through"),
    Kind.INTERVENTION_DONE: _said_with(gettext_lazy("Done to it"), "kind", "part"),
    Kind.FINDING_CONFIRMED: _said_with(gettext_lazy("Finding"), "part", "mode"),
    Kind.PART_SALVAGED: _said_with(gettext_lazy("Taken off a donor board"), "part"),
    Kind.LORE_KEPT: gettext_lazy("Good readings kept for this model"),
    Kind.MACHINE_STARTED: _said_with(gettext_lazy("Machine started"), "kind"),
    Kind.MACHINE_ENDED: _said_machine_ended,
    Kind.PROOF_GIVEN: _said_with(gettext_lazy("Proof"), "item", "result"),
    Kind.FOUND_MORE: gettext_lazy("More was found: the next quote is drafted"),
    Kind.GOODWILL_DECIDED: _said_goodwill,
    Kind.LOAN_GIVEN: gettext_lazy("A loan device given out"),
    Kind.LOAN_BACK: gettext_lazy("The loan device came back"),
    Kind.QUOTE_SENT: _said_quote(gettext_lazy("Quote %(version)s sent")),
    Kind.QUOTE_ACCEPTED: _said_quote(gettext_lazy("Yes to quote %(version)s")),
    Kind.NEW_PRICE_ASKED: _said_quote(
        gettext_lazy("Quote %(version)s is over: the customer asks for a new price")
    ),
    Kind.QUOTE_DECLINED: _said_quote(gettext_lazy("No to quote %(version)s")),
    Kind.PART_ORDERED: _said_ordered,
    Kind.PART_ARRIVED: gettext_lazy("Part arrived"),
    Kind.PART_USED: _said_part,
    Kind.PART_RESERVED: _said_with(gettext_lazy("Kept for this ticket"), "part"),
    Kind.PART_RELEASED: _said_with(gettext_lazy("Kept no more"), "part"),
    Kind.PART_SHELVED: _said_with(gettext_lazy("Salvaged part shelved"), "part"),
    Kind.STOCK_RECEIVED: gettext_lazy("Parts received"),
    Kind.STOCK_COUNTED: _said_with(gettext_lazy("Stock counted"), "part", "reason"),
    Kind.CLAIM_OPENED: _said_with(gettext_lazy("Claim to the supplier"), "how"),
    Kind.CLAIM_ENDED: _said_with(gettext_lazy("Claim settled"), "how"),
    Kind.TIME_RECORDED: _said_time,
    Kind.DAY_CONFIRMED: gettext_lazy("A day’s time confirmed"),
    Kind.PAYMENT_TAKEN: _said_paid,
    Kind.ACCOUNT_SET: gettext_lazy("Rules of the account set"),
    Kind.ACCOUNT_PRICES_SET: gettext_lazy("Prices of the account set"),
    Kind.ORDER_NUMBER_KEPT: _said_paper(gettext_lazy("Order number: %(number)s")),
    Kind.BILLED_ON_ACCOUNT: _said_paper(gettext_lazy("On invoice %(number)s")),
    Kind.INVOICE_ISSUED: _said_paper(gettext_lazy("Invoice %(number)s issued")),
    Kind.CREDIT_NOTE_ISSUED: _said_paper(gettext_lazy("Credit note %(number)s issued")),
    Kind.PAYMENT_REMINDED: _said_paper(
        gettext_lazy("Payment of invoice %(number)s asked for")
    ),
    Kind.CASH_MOVED: gettext_lazy("Cash put in or taken out"),
    Kind.CASH_DAY_ENDED: gettext_lazy("Till counted, day ended"),
    Kind.ACCOUNTS_NAMED: gettext_lazy("Accounts of the journal named"),
    Kind.BOOKS_GIVEN: gettext_lazy("Books of a period handed out"),
    Kind.PARTIAL_CREDIT_ISSUED: _said_paper(
        gettext_lazy("Credit note %(number)s issued")
    ),
    Kind.PREPAYMENT_ISSUED: _said_paper(
        gettext_lazy("Prepayment invoice %(number)s issued")
    ),
    Kind.PAYMENT_RULES_SET: settings_words.said(
        gettext_lazy("Deposits and cash: new rules")
    ),
    Kind.DATA_SAFE: _said_safe,
    Kind.INTAKE_FINISHED: gettext_lazy("Intake finished"),
    Kind.INTAKE_ANSWERED: _said_asked,
    Kind.SLIP_SIGNED: gettext_lazy("Signed on the screen"),
    Kind.CUSTOMERS_JOINED: gettext_lazy("Two customers joined"),
    Kind.CUSTOMERS_PARTED: gettext_lazy("Two customers parted again"),
    Kind.CUSTOMER_DATA_GIVEN: gettext_lazy("A customer’s data handed out"),
    Kind.CUSTOMER_ERASED: gettext_lazy("A customer erased"),
    Kind.PERSONAL_ERASED: _said_erased,
    Kind.NOTICE_GIVEN: _said_notice,
    Kind.ORDER_PUT_OFF: _said_put_off,
    Kind.ORDER_ENDED: _said_order_ended,
    Kind.PARCEL_UNPACKED: gettext_lazy("Parcel unpacked"),
    Kind.WARRANTY_DECIDED: _said_decided,
}
