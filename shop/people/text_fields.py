"""The fields of messages: ``{name}`` from a list, filled in, and nothing else. PURE.

A text is the owner's words, never a template: a field's name is looked up among those
that its kind allows, once, from left to right. Whatever else stands in braces stays as
it is, and what is filled in is not looked through again.
"""

import re
from collections.abc import Mapping

FIELD = re.compile(r"\{([^{}]*)\}")
OF_ACCOUNTS = ("customer", "shop", "phone", "hours")
EVERYWHERE = (*OF_ACCOUNTS, "device", "ticket", "link")
OF_REMINDERS = ("invoice", "invoice_day", "due_day", "owing", "account")
OF_KIND: Mapping[str, tuple[str, ...]] = {
    "taken_in": ("first_word", "promise"),
    "quote_sent": ("total", "valid_until"),
    "quote_reminder": ("total", "valid_until"),
    "new_promise": ("promise", "waits_for"),
    "ready": ("result", "owing"),
    "invoice": ("invoice", "owing"),
    "unclaimed_first": ("ready_since", "owing"),
    "unclaimed_second": ("ready_since", "owing"),
    "unclaimed_last": ("ready_since", "owing"),
    "thanks": ("result", "stays", "warranty_until"),
    "account_invoice": ("invoice", "month", "owing", "due_day"),
    "statement": ("first", "last", "balance"),
    "reminder_first": OF_REMINDERS,
    "reminder_second": OF_REMINDERS,
    "reminder_last": OF_REMINDERS,
}
# Of no ticket, or of many: there is no machine to name and no slip link.
WITHOUT_TICKET = frozenset(
    {
        *("account_invoice", "statement"),
        *("reminder_first", "reminder_second", "reminder_last"),
    }
)
MESSAGES = frozenset(OF_KIND)


def allowed(kind: str) -> tuple[str, ...]:
    common = OF_ACCOUNTS if kind in WITHOUT_TICKET else EVERYWHERE
    return (*common, *OF_KIND[kind])


def unknown(kind: str, text: str) -> list[str]:
    """What stands in braces in a message's text and is no field of its kind.

    >>> unknown("ready", "{customer}: {owing} {{settings.SECRET_KEY}} {0.__class__}")
    ['{settings.SECRET_KEY}', '{0.__class__}']
    """
    if kind not in MESSAGES:
        return []
    names = set(allowed(kind))
    return [m.group() for m in FIELD.finditer(text) if m.group(1) not in names]


def fill(kind: str, text: str, values: Mapping[str, str]) -> str:
    """The text with its fields; a line whose field has nothing to say is left out.

    >>> fill("ready", "Hello {customer}\\nTo pay: {owing}", {"customer": "{link}"})
    'Hello {link}'
    """
    names = set(allowed(kind))
    return "\n".join(
        FIELD.sub(lambda m: _value(m, names, values), line)
        for line in text.splitlines()
        if not any(
            name in names and not values.get(name) for name in FIELD.findall(line)
        )
    )


def _value(found: "re.Match[str]", names: set[str], values: Mapping[str, str]) -> str:
    name = found.group(1)
    return values[name] if name in names else found.group()


def subject_and_body(text: str) -> tuple[str, str]:
    """The first line, and the rest."""
    subject, _break, body = text.strip().partition("\n")
    return subject.strip(), body.strip()
