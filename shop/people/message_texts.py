"""The messages that a new shop starts with: short, plain, ours until it writes its own.

The first line is the subject. They reach no customer before the owner has read them.
"""

from collections.abc import Mapping

from django.utils.translation import gettext_noop as _

from shop.people import languages
from shop.people.house import TextKind

END = _("See how it stands: {link}\n\n{shop}\n{phone}")
END_OF_ACCOUNTS = _("{shop}\n{phone}")
END_OF_REMINDERS = _(
    "Our account: {account}. Please name invoice {invoice}.\n\n"
    "If you have paid in the last days, thank you: then nothing more is to be done. "
    "If something about the invoice is not right, call us.\n\n"
    "{shop}\n{phone}"
)
TO_COLLECT = _("We are open {hours}.\nTo pay: {owing}")
BEGINNINGS: Mapping[str, str] = {
    TextKind.TAKEN_IN: _(
        "Taken in: {device}, ticket {ticket}\n\n"
        "Hello {customer}\n\n"
        "We have taken in your {device}. The ticket’s number is {ticket}.\n"
        "You hear from us by {first_word}.\n"
        "It is to be ready by {promise}."
    ),
    TextKind.QUOTE_SENT: _(
        "Our quote for your {device}, ticket {ticket}\n\n"
        "Hello {customer}\n\n"
        "We have found out what it needs. Our quote comes to {total}.\n"
        "It is valid until {valid_until}. We go on when you have said yes: on the "
        "page below, or by phone."
    ),
    TextKind.QUOTE_REMINDER: _(
        "Your answer to our quote, ticket {ticket}\n\n"
        "Hello {customer}\n\n"
        "We wait for your answer to our quote of {total} for your {device}.\n"
        "It is valid until {valid_until}. Yes or no: the page below takes either, or "
        "call us."
    ),
    TextKind.NEW_PROMISE: _(
        "A new date for your {device}, ticket {ticket}\n\n"
        "Hello {customer}\n\n"
        "Your {device} is now to be ready by {promise}.\n"
        "It waits for {waits_for}."
    ),
    TextKind.READY: _(
        "Ready to be collected: {device}, ticket {ticket}\n\n"
        "Hello {customer}\n\n"
        "Your {device} can be collected. {result}"
    ),
    TextKind.INVOICE: _(
        "Invoice {invoice}\n\n"
        "Hello {customer}\n\n"
        "Here is invoice {invoice} for your {device}.\n"
        "To pay: {owing}"
    ),
    TextKind.UNCLAIMED_FIRST: _(
        "Still here: {device}, ticket {ticket}\n\n"
        "Hello {customer}\n\n"
        "Your {device} has been ready since {ready_since}. Please collect it."
    ),
    TextKind.UNCLAIMED_SECOND: _(
        "Please collect your {device}, ticket {ticket}\n\n"
        "Hello {customer}\n\n"
        "Your {device} has been ready since {ready_since} and is still here. Please "
        "collect it, or call us if you can’t."
    ),
    TextKind.UNCLAIMED_LAST: _(
        "Last notice: {device}, ticket {ticket}\n\n"
        "Hello {customer}\n\n"
        "Your {device} has been ready since {ready_since}. We have written to you "
        "before. Please collect it soon or tell us what is to become of it."
    ),
    TextKind.THANKS: _(
        "Thank you, ticket {ticket}\n\n"
        "Hello {customer}\n\n"
        "Thank you for coming to us with your {device}. {result}\n"
        "{stays}\n"
        "Warranty on the repair until {warranty_until}: the same fault, no charge."
    ),
    TextKind.ACCOUNT_INVOICE: _(
        "Invoice {invoice}, {month}\n\n"
        "Hello {customer}\n\n"
        "Here is invoice {invoice} for the work of {month}.\n"
        "To pay by {due_day}: {owing}"
    ),
    TextKind.STATEMENT: _(
        "Statement of account, {first} to {last}\n\n"
        "Hello {customer}\n\n"
        "Here is the statement of your account from {first} to {last}.\n"
        "Owing at its end: {balance}"
    ),
    TextKind.REMINDER_FIRST: _(
        "Invoice {invoice}: a reminder\n\n"
        "Hello {customer}\n\n"
        "Of invoice {invoice} of {invoice_day}, to be paid by {due_day}, {owing} is "
        "still open with us. Perhaps it was forgotten. Please pay it in the next days."
    ),
    TextKind.REMINDER_SECOND: _(
        "Invoice {invoice}: second reminder\n\n"
        "Hello {customer}\n\n"
        "Of invoice {invoice} of {invoice_day}, to be paid by {due_day}, {owing} is "
        "still open with us. We wrote to you about it before. Please pay it within a "
        "week."
    ),
    TextKind.REMINDER_LAST: _(
        "Invoice {invoice}: last reminder\n\n"
        "Hello {customer}\n\n"
        "Of invoice {invoice} of {invoice_day}, to be paid by {due_day}, {owing} is "
        "still open with us. We wrote to you about it twice. Please pay it within a "
        "week, or tell us what stands in the way."
    ),
}
REMINDERS = frozenset(
    {TextKind.REMINDER_FIRST, TextKind.REMINDER_SECOND, TextKind.REMINDER_LAST}
)
OF_ACCOUNTS = frozenset({TextKind.ACCOUNT_INVOICE, TextKind.STATEMENT})
COLLECTING = frozenset(
    {
        TextKind.READY,
        TextKind.UNCLAIMED_FIRST,
        TextKind.UNCLAIMED_SECOND,
        TextKind.UNCLAIMED_LAST,
    }
)


def ours(language: str) -> dict[str, str]:
    """Each message in a language of the program; of another there are none."""
    ends = {
        "end": END,
        "of_account": END_OF_ACCOUNTS,
        "of_reminder": END_OF_REMINDERS,
        "pay": TO_COLLECT,
    }
    said = languages.texts_in(language, {**BEGINNINGS, **ends})
    return {
        kind: "\n\n".join([said[kind], *(said[end] for end in _ends(kind))])
        for kind in BEGINNINGS
        if kind in said
    }


def _ends(kind: str) -> list[str]:
    if kind in REMINDERS:
        return ["of_reminder"]
    if kind in OF_ACCOUNTS:
        return ["of_account"]
    return ["pay", "end"] if kind in COLLECTING else ["end"]
