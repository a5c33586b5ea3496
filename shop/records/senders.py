"""How a message leaves the house, by its channel.

A sender raises ``NotSent`` where it is certain that nothing went out, and
``InDoubt`` where nobody can say (the line broke while the other side was to
acknowledge). Its word is a code: it never holds what was sent, or to whom.
"""

import hashlib
import logging
import os
import re
import smtplib
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.mail import EmailMessage, get_connection
from django.core.validators import validate_email

from shop.records.models import OutgoingMessage
from shop.records.services import has_control

log = logging.getLogger(__name__)
EMAIL = "email"
REFUSED_FOR_GOOD = 500  # SMTP replies from here on (RFC 5321, 4.2.1)
MESSAGE_ID = re.compile(r"<[^<>@\s]+@[^<>@\s]+>")  # RFC 5322, 3.6.4, its plain form


Begin = Callable[[], object]


class NotSent(Exception):
    """Nothing went out. ``is_final``: it never will, as the message stands."""

    def __init__(self, code: str, *, is_final: bool = False) -> None:
        self.code, self.is_final = code, is_final
        super().__init__(code)


class InDoubt(Exception):
    """It may have gone out, or not."""

    def __init__(self, code: str) -> None:
        self.code = code
        super().__init__(code)


class Sender(Protocol):
    """What a channel needs: a name for the record, and the act.

    ``begin`` is called just before what can't be taken back: who is killed before
    it has sent nothing for certain. One that may be sent twice unseen never calls.
    """

    name: str

    def send(self, message: OutgoingMessage, begin: Begin) -> None: ...


@dataclass(frozen=True)
class Paper:
    """What goes with a message: made anew at each try, never kept in the queue."""

    name: str
    body: bytes
    mime: str = "application/pdf"


PaperMaker = Callable[[OutgoingMessage], Paper]
_senders: dict[str, Sender] = {}
_makers: dict[str, PaperMaker] = {}


def paper_made_by(kind: str, maker: PaperMaker) -> None:
    """A room makes the paper of messages of a kind."""
    _makers[kind] = maker


def papers_of(message: OutgoingMessage) -> list[Paper]:
    if not message.paper:
        return []
    try:
        return [_makers[message.kind](message)]
    except Exception:
        log.exception("The paper of a message could not be made")
        raise NotSent("no paper") from None


def send_with(channel: str, sender: Sender) -> None:
    """A room brings the sender of a channel."""
    _senders[channel] = sender


def sender_of(channel: str) -> Sender:
    if channel in _senders:
        return _senders[channel]
    if channel == EMAIL and settings.MAIL_GOES_OUT:
        return EmailSender()
    return FileSender(Path(settings.OUTGOING_DIR))


class EmailSender:
    """Django's e-mail backend, one address a message, its own Message-ID."""

    name = EMAIL

    def send(self, message: OutgoingMessage, begin: Begin) -> None:
        mail = self.mail_of(message)
        for paper in papers_of(message):
            mail.attach(paper.name, paper.body, paper.mime)
        line = get_connection()
        try:
            line.open()
        except (OSError, smtplib.SMTPException) as error:
            raise NotSent(code_of(error)) from None
        try:
            begin()
            line.send_messages([mail])
        except smtplib.SMTPRecipientsRefused as error:
            code, _said = next(iter(error.recipients.values()))
            raise NotSent(f"SMTP {code}", is_final=is_final(code)) from None
        except smtplib.SMTPResponseException as error:
            code = error.smtp_code
            raise NotSent(f"SMTP {code}", is_final=is_final(code)) from None
        except (OSError, smtplib.SMTPException) as error:
            raise InDoubt(code_of(error)) from None
        finally:
            close_quietly(line)

    def mail_of(self, message: OutgoingMessage) -> EmailMessage:
        try:
            validate_email(message.to)
        except ValidationError:
            raise NotSent("no e-mail address", is_final=True) from None
        if has_control(message.subject):
            raise NotSent("a line break in the subject", is_final=True)
        return EmailMessage(
            subject=message.subject,
            body=message.text,
            to=[message.to],
            reply_to=[message.reply_to] if message.reply_to else None,
            headers={"Message-ID": message_id_of(message)},
        )


def close_quietly(line: object) -> None:
    """The message is out or not by now: saying good-bye changes nothing."""
    try:
        line.close()  # type: ignore[attr-defined]
    except (OSError, smtplib.SMTPException):
        return


def is_final(code: int) -> bool:
    return code >= REFUSED_FOR_GOOD


def code_of(error: Exception) -> str:
    return type(error).__name__


def message_id_of(message: OutgoingMessage) -> str:
    """The header, the same whenever the message is sent."""
    if MESSAGE_ID.fullmatch(message.message_id):
        return message.message_id
    left = hashlib.sha256(message.message_id.encode()).hexdigest()[:32]
    host = settings.DEFAULT_FROM_EMAIL.rpartition("@")[2].strip("> ")
    return f"<{left}@{host or 'localhost'}>"


def file_name(message_id: str) -> str:
    """Of the file that a message without a sender is written to."""
    return f"{hashlib.sha256(message_id.encode()).hexdigest()[:32]}.txt"


class FileSender:
    """Written to a file that its owner alone reads, for channels without a sender.

    The same message is the same file: sent twice it is there once.
    """

    name = "file"

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def send(self, message: OutgoingMessage, begin: Begin) -> None:
        try:
            self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            handle, part = tempfile.mkstemp(dir=self.folder, suffix=".part")  # 0600
            with os.fdopen(handle, "w", encoding="utf-8") as file:
                file.write(self.told(message))
                file.flush()
                os.fsync(file.fileno())
            Path(part).replace(self.folder / file_name(message.message_id))
        except OSError as error:
            raise NotSent(code_of(error)) from None

    def told(self, message: OutgoingMessage) -> str:
        head = {
            "Message-ID": message_id_of(message),
            "Channel": message.channel,
            "To": message.to,
            "Subject": message.subject,
            **({"With": message.paper} if message.paper else {}),
        }
        lines = "\n".join(f"{name}: {value}" for name, value in head.items())
        return f"{lines}\n\n{message.text}\n"
