"""The messages that a new shop starts with: short, plain, ours until it writes its own.

The first line is the subject. They reach no customer before the owner has read them.
"""

from collections.abc import Mapping

from shop.people.house import TextKind

END = "\n\nSee how it stands: {link}\n\n{shop}\n{phone}"
TO_COLLECT = "\n\nWe are open {hours}.\nTo pay: {owing}" + END
MESSAGE_TEXTS: Mapping[str, str] = {
    TextKind.TAKEN_IN: (
        "Taken in: {device}, ticket {ticket}\n\n"
        "Hello {customer}\n\n"
        "We have taken in your {device}. The ticket’s number is {ticket}.\n"
        "You hear from us by {first_word}.\n"
        "It is to be ready by {promise}." + END
    ),
    TextKind.QUOTE_SENT: (
        "Our quote for your {device}, ticket {ticket}\n\n"
        "Hello {customer}\n\n"
        "We have found out what it needs. Our quote comes to {total}.\n"
        "It is valid until {valid_until}. We go on when you have said yes: on the "
        "page below, or by phone." + END
    ),
    TextKind.QUOTE_REMINDER: (
        "Your answer to our quote, ticket {ticket}\n\n"
        "Hello {customer}\n\n"
        "We wait for your answer to our quote of {total} for your {device}.\n"
        "It is valid until {valid_until}. Yes or no: the page below takes either, or "
        "call us." + END
    ),
    TextKind.NEW_PROMISE: (
        "A new date for your {device}, ticket {ticket}\n\n"
        "Hello {customer}\n\n"
        "Your {device} is now to be ready by {promise}.\n"
        "It waits for {waits_for}." + END
    ),
    TextKind.READY: (
        "Ready to be collected: {device}, ticket {ticket}\n\n"
        "Hello {customer}\n\n"
        "Your {device} can be collected. {result}" + TO_COLLECT
    ),
    TextKind.INVOICE: (
        "Invoice {invoice}\n\n"
        "Hello {customer}\n\n"
        "Here is invoice {invoice} for your {device}.\n"
        "To pay: {owing}" + END
    ),
    TextKind.UNCLAIMED_FIRST: (
        "Still here: {device}, ticket {ticket}\n\n"
        "Hello {customer}\n\n"
        "Your {device} has been ready since {ready_since}. Please collect it."
        + TO_COLLECT
    ),
    TextKind.UNCLAIMED_SECOND: (
        "Please collect your {device}, ticket {ticket}\n\n"
        "Hello {customer}\n\n"
        "Your {device} has been ready since {ready_since} and is still here. Please "
        "collect it, or call us if you can’t." + TO_COLLECT
    ),
    TextKind.UNCLAIMED_LAST: (
        "Last notice: {device}, ticket {ticket}\n\n"
        "Hello {customer}\n\n"
        "Your {device} has been ready since {ready_since}. We have written to you "
        "before. Please collect it soon or tell us what is to become of it."
        + TO_COLLECT
    ),
    TextKind.THANKS: (
        "Thank you, ticket {ticket}\n\n"
        "Hello {customer}\n\n"
        "Thank you for coming to us with your {device}. {result}\n"
        "Warranty on the repair until {warranty_until}: the same fault, no charge."
        + END
    ),
}
