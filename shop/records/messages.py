"""Sending what was queued: claimed in its row, sent, marked.

A process killed between handing a message over and marking it leaves ``begun_at``
set: nobody knows whether it went out. It is then sent once more, with the same
Message-ID, so that it may arrive twice. Found so a second time it is given up, and a
person decides: never a third.
"""

import logging
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from datetime import datetime
from functools import partial
from typing import Any

from django.db import transaction
from django.db.models import F, QuerySet

from shop.records import clock, jobs
from shop.records.due import back_off
from shop.records.models import OutgoingMessage
from shop.records.senders import InDoubt, NotSent, sender_of
from shop.records.services import has_control

log = logging.getLogger(__name__)
# With these waits four days and more, as RFC 5321 (4.5.4.1) asks of who gives up.
MOST_TRIES = 25
MOST_DOUBTS = 2
AT_ONCE = 100
Predicate = Callable[[int], bool]
_predicates: list[Predicate] = []


@dataclass(frozen=True)
class Wording:
    """What a message says, to whom and how."""

    channel: str
    to: str
    subject: str
    text: str
    reply_to: str = ""


class Withheld(Exception):
    """Nothing is to be sent by itself; the code says why."""

    def __init__(self, code: str) -> None:
        self.code = code
        super().__init__(code)


Worder = Callable[[OutgoingMessage], Wording]
Listener = Callable[[OutgoingMessage], None]
_worders: dict[str, Worder] = {}
_listeners: list[Listener] = []


def worded_by(worder: Worder, kind: str = "") -> None:
    """A room words the messages of a kind, or those of every kind that no other does.

    It raises ``Withheld`` for none. It is asked before every try, so that it can
    withhold what is true no more; a text that stands is not changed.
    """
    _worders[kind] = worder


def ended_by(listener: Listener) -> None:
    """A room keeps something of its own when a message is out, or given up."""
    _listeners.append(listener)


def allowed_by(predicate: Predicate) -> None:
    """A room says which shops may send by now."""
    _predicates.append(predicate)


def may_send(shop_id: int) -> bool:
    """Whether a shop's messages may reach its customers: yes, unless a room objects."""
    return all(predicate(shop_id) for predicate in _predicates)


@dataclass
class Sent:
    """What became of the messages of one run."""

    sent: int = 0
    waiting: int = 0
    given_up: int = 0


def send_job() -> None:
    send_due()


def send_due() -> Sent:
    """Send what is due, oldest first, while this process may go on."""
    done = Sent()
    for message in _due(clock.database_now()):
        if not jobs.may_go_on():
            break
        _send(message, done)
    if done.given_up:
        log.warning("%d messages were given up", done.given_up)
    return done


def _due(now: datetime) -> Iterator[OutgoingMessage]:
    waiting = OutgoingMessage.objects.filter(
        sent_at=None, given_up_at=None, next_try_at__lte=now
    )
    shops = waiting.order_by("shop_id").values_list("shop_id", flat=True).distinct()
    allowed = [shop for shop in shops if may_send(shop)]
    due = waiting.filter(shop_id__in=allowed).order_by("next_try_at", "id")
    yield from due[:AT_ONCE]


def _send(message: OutgoingMessage, done: Sent) -> None:
    """Claim one, send it, mark it; one that another claimed meanwhile is left."""
    row = OutgoingMessage.objects.filter(pk=message.pk)
    if message.begun_at is not None and message.doubts + 1 >= MOST_DOUBTS:
        _give_up(row, "twice in doubt: it may have gone out")
        done.given_up += 1
        return
    if not _claim(row, message):
        return
    try:
        if not word(message):
            return
        sender = sender_of(message.channel)
        sender.send(message, partial(_begin, row))
    except NotSent as error:
        _note_failure(row, message, error, done)
    except InDoubt as error:
        row.update(last_error=error.code)  # begun_at says the rest
        done.waiting += 1
    else:
        now = clock.database_now()
        _end(row, sent_at=now, last_error="", sent_by=sender.name)
        done.sent += 1


def word(message: OutgoingMessage) -> bool:
    """Give it its words, if it waits for them; False where none are to be sent."""
    if not message.kind:
        return True
    row = OutgoingMessage.objects.filter(pk=message.pk)
    try:
        with transaction.atomic():
            wording = _worded(message)
    except Withheld as why:
        row.update(withheld=why.code, given_up_at=clock.database_now(), begun_at=None)
        return False
    except Exception as error:  # noqa: BLE001  one message never stops the others
        told = jobs.told_of(error)
        log.error("A message could not be worded: %s", told)
        raise NotSent("not worded") from None
    if not message.text:
        said = asdict(wording)
        row.filter(text="").update(**said)
        for name, value in said.items():
            setattr(message, name, value)
    return True


def _worded(message: OutgoingMessage) -> Wording:
    worder = _worders.get(message.kind) or _worders[""]
    wording = worder(message)
    if any(map(has_control, (wording.to, wording.subject, wording.reply_to))):
        raise ValueError("A header of a message is one line.")
    return wording


def _end(row: QuerySet[OutgoingMessage], **columns: Any) -> None:
    """Mark it, and tell who listens; a listener's fault never sends it twice."""
    with transaction.atomic():
        row.update(begun_at=None, **columns)
        message = row.get()
        for listener in _listeners:
            try:
                with transaction.atomic():
                    listener(message)
            except Exception as error:  # noqa: BLE001  the message is out all the same
                log.error("After a message: %s", jobs.told_of(error))


def _claim(row: QuerySet[OutgoingMessage], message: OutgoingMessage) -> bool:
    now = clock.database_now()
    as_read = row.filter(
        tries=message.tries, sent_at=None, given_up_at=None, begun_at=message.begun_at
    )
    message.tries += 1
    doubts = message.doubts + (message.begun_at is not None)
    claimed = as_read.update(
        tries=F("tries") + 1,
        begun_at=None,
        doubts=doubts,
        next_try_at=now + back_off(message.tries),
    )
    return bool(claimed)


def _begin(row: QuerySet[OutgoingMessage]) -> None:
    row.update(begun_at=clock.database_now())


def _note_failure(
    row: QuerySet[OutgoingMessage], message: OutgoingMessage, error: NotSent, done: Sent
) -> None:
    if error.is_final or message.tries >= MOST_TRIES:
        _give_up(row, error.code)
        done.given_up += 1
        return
    row.update(begun_at=None, last_error=error.code)
    done.waiting += 1


def _give_up(row: QuerySet[OutgoingMessage], code: str) -> None:
    _end(row, given_up_at=clock.database_now(), last_error=code)
