"""How a message stands, in plain words."""

import re
from collections.abc import Mapping

from django.utils import timezone
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from shop.intake.models import Channel
from shop.people.models import TextKind
from shop.records import messages
from shop.records.models import OutgoingMessage
from shop.shown import date_format

SMTP = re.compile(r"SMTP (\d{3})")
FOR_GOOD = 500
WITHHELD: Mapping[str, str | Promise] = {
    "no_messages": gettext_lazy("not sent: the customer wants no messages"),
    "by_phone": gettext_lazy("not sent: the customer answers best by phone"),
    "no_address": gettext_lazy("not sent: no address for it is known"),
    "late": gettext_lazy("not sent: it would have come too late"),
    "over": gettext_lazy("not sent: overtaken by what happened since"),
    "stays": gettext_lazy(
        "not sent: the machine stays here, and the text says nothing of that"
    ),
    "told": gettext_lazy("told by phone instead"),
    "otherwise": gettext_lazy("given to the customer another way"),
}
# Messages that another room words.
OF_OTHERS: Mapping[str, str | Promise] = {
    "payment_reminder": gettext_lazy("payment reminder")
}
FAILED: Mapping[str, str | Promise] = {
    "no e-mail address": gettext_lazy("the e-mail address is not valid"),
    "not worded": gettext_lazy("its text could not be made"),
    "no paper": gettext_lazy("its paper could not be made"),
    "restored": gettext_lazy("it may have gone out before a backup was put back"),
}


def kind_word(kind: str) -> str:
    label = {**dict(TextKind.choices), **OF_OTHERS}.get(kind, kind)
    return str(label)


def state(message: OutgoingMessage) -> str:
    """``sent by e-mail, 3 March, 10:15``, or why not."""
    if message.withheld:
        return str(WITHHELD.get(message.withheld, message.withheld))
    if message.sent_at:
        return _sent(message)
    if message.given_up_at:
        return _("could not be sent: %(why)s") % {"why": failure(message.last_error)}
    return _waits(message)


def _waits(message: OutgoingMessage) -> str:
    if not messages.may_send(message.shop_id):
        return _("waits: the owner has not read the texts yet")
    when = {"when": _moment(message.next_try_at)}
    if message.last_error or message.begun_at:
        why = {"why": failure(message.last_error)}
        return _("not sent yet, %(why)s; next try %(when)s") % (why | when)
    if message.next_try_at > timezone.now():
        return _("goes out %(when)s") % when
    return _("goes out now")


def _sent(message: OutgoingMessage) -> str:
    said = {"when": _moment(message.sent_at), "how": _channel(message.channel)}
    if message.sent_by == "file":
        return _("not sent: written to a file, no way to send %(how)s is set up") % said
    return _("sent by %(how)s, %(when)s") % said


def failure(code: str) -> str:
    """Why a try failed; codes of the senders and of the mail protocol."""
    if code in FAILED:
        return str(FAILED[code])
    if found := SMTP.fullmatch(code):
        said = {"code": found.group(1)}
        if int(found.group(1)) >= FOR_GOOD:
            return (
                _("the other side refused it (%(code)s): is the address right?") % said
            )
        return _("the other side asks to try later (%(code)s)") % said
    if "doubt" in code or not code:
        return _("the line broke while it was sent: it may have arrived")
    return _("the mail server can’t be reached")


def _channel(channel: str) -> str:
    return str(dict(Channel.choices).get(channel, channel))


def _moment(at: object) -> str:
    return date_format(timezone.localtime(at), "j F, H:i")  # type: ignore[arg-type]
