"""Whose turn it is, what waits and how long, in the reader's language."""

from collections.abc import Mapping
from datetime import date, datetime, time, timedelta
from typing import Any

from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from shop.intake.turn import Turn, Whose
from shop.shown import date_format

Text = str | Promise
HOUR, DAY = timedelta(hours=1), timedelta(days=1)

WHOSE: Mapping[str, Text] = {
    Whose.OURS: gettext_lazy("Ours"),
    Whose.CUSTOMER: gettext_lazy("The customer’s"),
    Whose.SUPPLIER: gettext_lazy("A supplier’s"),
    Whose.HANDOVER: gettext_lazy("The handover’s"),
    Whose.NOBODY: gettext_lazy("Nobody’s"),
}
PARTS_OF_OURS: Mapping[str, Text] = {
    "queue": gettext_lazy("in the queue"),
    "in_hands": gettext_lazy("in hands"),
    "parked": gettext_lazy("parked"),
}
PARTIES: Mapping[str, Text] = {
    "resting": gettext_lazy("time: it rests"),
    "customer": gettext_lazy("the customer"),
    "specialist": gettext_lazy("an outside specialist"),
    "owner": gettext_lazy("the owner"),
}
REASONS: Mapping[str, Text] = {
    "drying": gettext_lazy("drying after cleaning"),
    "soaking": gettext_lazy("soaking in cleaner"),
    "charging": gettext_lazy("charging the pack"),
    "running": gettext_lazy("running under load"),
    "cold_start": gettext_lazy("cold start next day"),
    "decision": gettext_lazy("a decision"),
    "consent": gettext_lazy("a consent"),
    "deposit": gettext_lazy("a deposit"),
    "price": gettext_lazy("a price"),
    "found_more": gettext_lazy("more was found"),
    "away": gettext_lazy("away for now"),
    "outside_work": gettext_lazy("work done outside"),
    "data_work": gettext_lazy("data saved outside"),
    "other": gettext_lazy("another reason"),
}
STEPS: Mapping[str, Text] = {
    "nothing": gettext_lazy("nothing: handed over"),
    "pack_first": gettext_lazy("look at the pack before anything else"),
    "board_not_named": gettext_lazy("board not named yet"),
    "cold_not_started": gettext_lazy("cold readings not started"),
    "readings": gettext_lazy("readings under way"),
    "quote_to_write": gettext_lazy("quote to write"),
    "new_price_asked": gettext_lazy("the customer asks for a new price"),
    "cover_to_decide": gettext_lazy("warranty: covered or not, to be decided"),
    "repair_covered": gettext_lazy("repair, under warranty"),
    "part_here": gettext_lazy("part is here, repair to go on"),
    "proof": gettext_lazy("prove it"),
    "more_declined": gettext_lazy("no to more: end what was agreed before"),
    "outcome_to_record": gettext_lazy("say how it ended"),
    "ready_told": gettext_lazy("ready, the customer knows"),
    "ready_not_told": gettext_lazy("ready, the customer not told yet"),
}


def whose_word(whose: str) -> str:
    return str(WHOSE.get(whose, whose))


def part_word(part: str) -> str:
    return str(PARTS_OF_OURS.get(part, part))


def span(length: timedelta) -> str:
    """A length of time in its largest unit: ``13 days``, ``4 hours``."""
    if length >= DAY:
        return ngettext("%(n)d day", "%(n)d days", length // DAY) % {"n": length // DAY}
    if length >= HOUR:
        hours = length // HOUR
        return ngettext("%(n)d hour", "%(n)d hours", hours) % {"n": hours}
    minutes = max(0, length // timedelta(minutes=1))
    return ngettext("%(n)d minute", "%(n)d minutes", minutes) % {"n": minutes}


def waits_for(turn: Turn) -> str:
    """What a ticket waits for, in one short sentence without a full stop."""
    details = {"version": "", **turn.details}
    if turn.waits_for.startswith("parked_"):
        return parked_words(turn.waits_for.removeprefix("parked_"), details)
    match turn.waits_for:
        case "answer_to_quote":
            text = _("answer to quote %(version)s") % details
        case "repair":
            text = _("repair, as agreed in quote %(version)s") % details
        case "give_back_unrepaired":
            text = _("no to quote %(version)s: make ready as it came") % details
        case "parts":
            text = _parts(details)
        case code:
            text = str(STEPS.get(code, plain_code(code)))
    return text


def parked_words(party: str, details: Mapping[str, Any]) -> str:
    because = str(REASONS.get(details["because"], plain_code(details["because"])))
    who = {"party": PARTIES.get(party, plain_code(party)), "because": because}
    text = (
        _("parked, %(because)s") % who
        if party == "resting"
        else _("parked for %(party)s: %(because)s") % who
    )
    if details["until"] is None:
        return text
    until = day_or_moment(details["until"])
    return _("%(text)s, until %(day)s") % {"text": text, "day": until}


def _parts(details: Mapping[str, Any]) -> str:
    count = details["count"]
    text = ngettext("%(n)d part on order", "%(n)d parts on order", count) % {"n": count}
    if not details["due_on"]:
        return text
    day = day_words(date.fromisoformat(details["due_on"]))
    return _("%(text)s, due %(day)s") % {"text": text, "day": day}


def plain_code(code: str) -> str:
    return code.replace("_", " ")


def day_words(moment: date | datetime) -> str:
    if isinstance(moment, datetime):
        moment = timezone.localtime(moment)
    return date_format(moment, "j F")


def moment_of(iso: str) -> str:
    return moment_words(datetime.fromisoformat(iso))


def moment_words(moment: datetime) -> str:
    return date_format(timezone.localtime(moment), "j F, H:i")


def day_or_moment(moment: datetime) -> str:
    """The day alone where the moment is a day's beginning."""
    is_midnight = timezone.localtime(moment).time() == time()
    return day_words(moment) if is_midnight else moment_words(moment)


def capital(text: str) -> str:
    return text[:1].upper() + text[1:]
