"""What the lists say: their names, the next act of a row and why, the sentence."""

from datetime import datetime

from django.utils import timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from shop.intake import promise_words
from shop.intake.models import Channel, Customer
from shop.intake.turn import Turn
from shop.intake.words import day_words, span, waits_for
from shop.money import Money
from shop.office.acting.lists import Code, Lists
from shop.office.acting.rules import Done, Paper, Promise, Why, sums
from shop.people.models import OfficeLimits
from shop.shown import date_format

TITLES = {
    Code.PROMISES: gettext_lazy("Promises broken, or at risk this week"),
    Code.TO_GO_ON: gettext_lazy("Said yes, part here, and nobody works on it"),
    Code.NOT_COLLECTED: gettext_lazy("Ready, not collected, money owing"),
    Code.UNBILLED: gettext_lazy("Work done that no invoice carries"),
}


def title(code: Code, limits: OfficeLimits) -> str:
    if code in TITLES:
        return str(TITLES[code])
    text, days = _limited(code, limits)
    return text % {"n": days}


def _limited(code: Code, limits: OfficeLimits) -> tuple[str, int]:
    if code == Code.UNTOUCHED:
        days = limits.untouched_days
        text = ngettext(
            "In our queue more than %(n)d day, untouched",
            "In our queue more than %(n)d days, untouched",
            days,
        )
    elif code == Code.UNANSWERED:
        days = limits.unanswered_days
        text = ngettext(
            "Quotes unanswered more than %(n)d day",
            "Quotes unanswered more than %(n)d days",
            days,
        )
    else:
        days = limits.owed_days
        text = ngettext(
            "Owed for more than %(n)d day", "Owed for more than %(n)d days", days
        )
    return text, days


# --- the next act ---


def reach(customer: Customer) -> str:
    """The act of being in touch, by the way in which they answer best."""
    who = {"who": customer.name}
    match customer.channel:
        case Channel.TEXT:
            return _("Text %(who)s") % who
        case Channel.EMAIL:
            return _("Write to %(who)s") % who
        case Channel.NONE:
            return _("Ask %(who)s when they come in") % who
        case _other:
            return _("Phone %(who)s") % who


def _because(act: str, why: str) -> SafeString:
    """ "**Phone Mbeki:** promised for Friday, no part here yet"."""
    return format_html("<b>{}</b> {}", _("%(act)s:") % {"act": act}, why)


def of_promise(
    one: Promise, customer: Customer, turn: Turn, now: datetime
) -> SafeString:
    if one.why == Why.NOBODY:
        return _because(_("Give it to somebody"), _promised(one, turn, now))
    why = _("%(promise)s, %(hitch)s") % {
        "promise": _promised(one, turn, now),
        "hitch": _hitch(one, turn),
    }
    return _because(reach(customer), why)


def _promised(one: Promise, turn: Turn, now: datetime) -> str:
    text = (
        _("promised for %(day)s")
        if one.by == turn.ready_by
        else _("a word was promised for %(day)s")
    )
    return text % {"day": near_day(one.by, now)}


def near_day(moment: datetime, now: datetime) -> str:
    """``Friday`` within six days of now, ``today at 15:00``, else the date."""
    at, today = timezone.localtime(moment), timezone.localtime(now).date()
    apart = (at.date() - today).days
    if apart in {0, 1}:
        return promise_words.near(moment, now)
    return date_format(at, "l") if -6 <= apart <= 6 else day_words(at)


def _hitch(one: Promise, turn: Turn) -> str:
    if turn.waits_for == "parts":
        if one.part_due is None:
            return _("no part here yet")
        due = {"day": day_words(one.part_due)}
        return _("no part here yet, due %(day)s") % due
    if one.why == Why.FORETOLD:
        return _("such tickets usually take longer")
    return waits_for(turn)


def to_go_on(turn: Turn, now: datetime) -> SafeString:
    since = {"day": near_day(turn.since, now)}
    why = (
        _("the part is here since %(day)s")
        if turn.waits_for == "part_here"
        else _("agreed since %(day)s, no part is waited for")
    )
    return _because(_("Give it to somebody"), why % since)


def untouched(turn: Turn) -> SafeString:
    return _because(_("Give it to somebody, or say why it waits"), waits_for(turn))


def unanswered(customer: Customer, turn: Turn, now: datetime) -> SafeString:
    version = turn.details.get("version")
    asked = {"version": version, "span": span(now - turn.since)}
    why = (
        _("no answer to quote %(version)s for %(span)s")
        if version
        else _("no answer for %(span)s to what more was found")
    )
    return _because(reach(customer), why % asked)


def not_collected(
    customer: Customer, turn: Turn, due: Money, now: datetime
) -> SafeString:
    said = {"due": in_currency(due), "span": span(now - turn.silent_since)}
    why = (
        _("ready, %(due)s owing, last word %(span)s ago")
        if turn.waits_for == "ready_told"
        else _("ready, %(due)s owing, and not told yet")
    )
    return _because(reach(customer), why % said)


def unbilled(one: Done) -> SafeString:
    if one.billed_from is None:
        return _because(_("Make the invoice"), _work(one))
    month = {"month": date_format(timezone.localtime(one.ended_at), "F Y")}
    act = _("Make the account’s invoice for %(month)s") % month
    return _because(act, _work(one))


def _work(one: Done) -> str:
    if one.is_declined:
        return _("said no to the quote, and what was agreed stands on no invoice")
    minutes = ngettext("%(n)d minute", "%(n)d minutes", one.minutes)
    minutes %= {"n": one.minutes}
    if one.minutes > 0 and one.has_parts:
        return _("%(minutes)s and parts stand on no invoice") % {"minutes": minutes}
    if one.minutes > 0:
        return _("%(minutes)s stand on no invoice") % {"minutes": minutes}
    if one.has_parts:
        return _("parts stand on no invoice")
    return _("the fee stands on no invoice")


def owed(
    one: Paper, name: str, number: str, level: int | None, refusal: str = ""
) -> SafeString:
    """``level`` of the reminder that may go out now; else why none may."""
    due = Money.from_minor(one.owed, one.currency)
    said = {"due": in_currency(due), "number": number, "day": day_words(one.due_on)}
    why = _("%(due)s of invoice %(number)s, due %(day)s") % said
    if level is None:
        why = _("%(owed)s. %(refusal)s") % {"owed": why, "refusal": refusal}
        return _because(_("Speak with %(who)s") % {"who": name}, why)
    act = _("Send %(who)s reminder %(n)d") % {"who": name, "n": level}
    return _because(act, why)


# --- the sentence ---


def sentence(lists: Lists) -> str:
    """What matters this week, said before any list; so too on a quiet day."""
    if not any(lists.of.values()):
        return _("Nothing waits for you to act.")
    said = [*_promises(lists), *_money(lists)]
    others = sum(
        len(entries)
        for code, entries in lists.of.items()
        if code not in {Code.PROMISES, Code.OWED}
    )
    if others:
        text = ngettext(
            "%(n)d more waits for an act.",
            "%(n)d more wait for an act.",
            others,
        )
        said.append(text % {"n": others})
    return " ".join(said)


def _promises(lists: Lists) -> list[str]:
    found = [one for one in lists.of[Code.PROMISES] if isinstance(one, Promise)]
    broken = sum(one.why == Why.BROKEN for one in found)
    risky = len(found) - broken
    said = []
    if broken:
        text = ngettext(
            "%(n)d promise is broken.", "%(n)d promises are broken.", broken
        )
        said.append(text % {"n": broken})
    if risky:
        text = ngettext(
            "%(n)d promise may break this week.",
            "%(n)d promises may break this week.",
            risky,
        )
        said.append(text % {"n": risky})
    return said or [_("No promise breaks this week.")]


def _money(lists: Lists) -> list[str]:
    found = [one for one in lists.of[Code.OWED] if isinstance(one, Paper)]
    days = lists.limits.owed_days
    if not found:
        text = ngettext(
            "Nothing is owed for more than %(n)d day.",
            "Nothing is owed for more than %(n)d days.",
            days,
        )
        return [text % {"n": days}]
    text = ngettext(
        "%(due)s is owed for more than %(n)d day.",
        "%(due)s is owed for more than %(n)d days.",
        days,
    )
    return [
        text % {"due": in_currency(Money.from_minor(minor, currency)), "n": days}
        for currency, minor in sorted(sums(found).items())
    ]


def in_currency(money: Money) -> str:
    """``412.00 EUR``, never broken between the two."""
    return f"{money}\N{NO-BREAK SPACE}{money.currency}"
