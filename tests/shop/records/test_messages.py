"""Messages: sent once, twice at the most, never by the wrong shop or header."""

import smtplib
from collections.abc import Iterator
from contextlib import suppress
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core import mail
from django.utils import timezone

from shop.records import messages, senders
from shop.records import services as records
from shop.records.errors import Refused
from shop.records.models import OutgoingMessage
from shop.records.senders import Begin, EmailSender, FileSender, InDoubt, NotSent

pytestmark = pytest.mark.django_db


class Fake:
    """Answers as it is told to; remembers what it was given."""

    name = "fake"

    def __init__(self) -> None:
        self.errors: list[BaseException] = []
        self.given: list[str] = []
        self.begins = True

    def send(self, message: OutgoingMessage, begin: Begin) -> None:
        self.given.append(message.message_id)
        if self.begins:
            begin()
        if self.errors:
            raise self.errors.pop(0)


@pytest.fixture(autouse=True)
def every_shop_may_send(monkeypatch: pytest.MonkeyPatch) -> None:
    """Who may is told by rooms; here by none."""
    monkeypatch.setattr(messages, "_predicates", [])


@pytest.fixture
def fake(monkeypatch: pytest.MonkeyPatch) -> Fake:
    sender = Fake()
    monkeypatch.setattr(senders, "_senders", {"fake": sender})
    return sender


@pytest.fixture
def mails(settings: Any) -> Iterator[list[mail.EmailMessage]]:
    settings.MAIL_GOES_OUT = True
    settings.DEFAULT_FROM_EMAIL = "Hollin Lane <desk@hollin-lane.example>"
    return mail.outbox  # type: ignore[return-value]


def queue(channel: str = "fake", **changed: Any) -> OutgoingMessage:
    given: dict[str, Any] = {
        "shop_id": 1,
        "ticket_id": None,
        "message_id": "quote-7",
        "channel": channel,
        "to": "ada@example.org",
        "subject": "Your quote",
        "text": "It is ready.",
    }
    return due_again(records.message_queue(**given | changed))


def due_again(message: OutgoingMessage) -> OutgoingMessage:
    row = OutgoingMessage.objects.filter(pk=message.pk)
    row.update(next_try_at=timezone.now() - timedelta(seconds=1))
    return row.get()


def test_a_message_is_sent_once_and_marked(fake: Fake) -> None:
    message = queue()
    for _again in range(2):
        messages.send_due()
    message.refresh_from_db()
    assert fake.given == ["quote-7"]
    assert message.sent_at is not None
    assert (message.tries, message.sent_by, message.begun_at) == (1, "fake", None)


def test_a_failure_waits_longer_each_time_until_it_is_given_up(fake: Fake) -> None:
    message, waits = queue(), []
    fake.errors = [NotSent("SMTP 451") for _try in range(messages.MOST_TRIES)]
    for _try in range(messages.MOST_TRIES):
        messages.send_due()
        message.refresh_from_db()
        waits.append(message.next_try_at - timezone.now())
        message = due_again(message)
    messages.send_due()
    assert [round(wait.total_seconds() / 60) for wait in waits[:4]] == [1, 2, 4, 8]
    assert len(fake.given) == messages.MOST_TRIES
    assert message.given_up_at is not None
    assert message.last_error == "SMTP 451"


def test_what_is_refused_for_good_is_not_tried_again(fake: Fake) -> None:
    message = queue()
    fake.errors = [NotSent("SMTP 550", is_final=True)]
    messages.send_due()
    message.refresh_from_db()
    assert (message.given_up_at is None, message.last_error) == (False, "SMTP 550")


@pytest.mark.parametrize(
    "ends", [SystemExit(), InDoubt("SMTPServerDisconnected")], ids=["killed", "cut off"]
)
def test_in_doubt_a_message_goes_out_once_more_and_never_a_third_time(
    fake: Fake, ends: BaseException
) -> None:
    message = queue()
    for _try in range(3):
        fake.errors = [ends]
        with suppress(SystemExit):  # as killed between sending and marking
            messages.send_due()
        message = due_again(message)
    assert fake.given == ["quote-7", "quote-7"]
    assert message.given_up_at is not None
    assert message.last_error.startswith("twice in doubt")


def test_killed_before_anything_went_out_is_no_doubt(fake: Fake) -> None:
    message = queue()
    fake.begins = False
    for _try in range(3):
        fake.errors = [SystemExit()]
        with suppress(SystemExit):
            messages.send_due()
        due_again(message)
    messages.send_due()
    message.refresh_from_db()
    assert message.sent_at is not None
    assert (message.tries, message.doubts) == (4, 0)


def test_in_doubt_once_and_then_sent(fake: Fake) -> None:
    message = queue()
    fake.errors = [InDoubt("TimeoutError")]
    messages.send_due()
    due_again(message)
    messages.send_due()
    message.refresh_from_db()
    assert message.sent_at is not None
    assert (message.doubts, message.begun_at) == (1, None)


def test_one_that_another_process_claimed_is_left(fake: Fake) -> None:
    message = queue()
    OutgoingMessage.objects.update(tries=1)  # behind the back of what was read
    messages._send(message, messages.Sent())
    assert fake.given == []


def test_a_shop_that_has_not_said_yes_sends_nothing(
    fake: Fake, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(messages, "_predicates", [])
    messages.allowed_by(lambda shop_id: shop_id != 1)
    held = queue()
    queue(shop_id=2, message_id="quote-8")
    messages.send_due()
    held.refresh_from_db()
    assert fake.given == ["quote-8"]
    assert (held.tries, held.sent_at) == (0, None)


@pytest.mark.parametrize("field", ["to", "subject"])
@pytest.mark.parametrize(
    "sign", ["\r\n", "\n", "\r", "\x00", "\x0b", "\x85", "\u2028"], ids=repr
)
def test_a_header_cannot_be_smuggled_in(field: str, sign: str) -> None:
    with pytest.raises(Refused) as refused:
        queue(**{field: f"x@example.org{sign}Bcc: all@example.org"})
    assert refused.value.field == field
    assert not OutgoingMessage.objects.exists()


# --- e-mail -------------------------------------------------------------------


def test_an_e_mail_carries_the_same_message_id_each_time(mails: list[Any]) -> None:
    message = queue("email")
    EmailSender().send(message, list)
    EmailSender().send(message, list)
    headers = [one.message()["Message-ID"] for one in mails]
    assert headers[0] == headers[1]
    assert headers[0].endswith("@hollin-lane.example>")
    assert mails[0].to == ["ada@example.org"]


def test_a_whole_message_id_is_kept_as_it_is(mails: list[Any]) -> None:
    queue("email", message_id="<q7.a1@hollin-lane.example>")
    messages.send_due()
    assert mails[0].message()["Message-ID"] == "<q7.a1@hollin-lane.example>"
    assert OutgoingMessage.objects.get().sent_by == "email"


@pytest.mark.parametrize(
    "to", ["ada@example.org, bob@example.org", "ada", "Ada <ada@example.org>", ""]
)
def test_only_one_plain_address_is_written_to(mails: list[Any], to: str) -> None:
    queue("email", to=to)
    messages.send_due()
    assert mails == []
    assert OutgoingMessage.objects.get().last_error == "no e-mail address"


def test_the_sender_refuses_a_smuggled_header_too(mails: list[Any]) -> None:
    message = queue("email")
    message.subject = "Hello\nBcc: all@example.org"
    with pytest.raises(NotSent):
        EmailSender().send(message, list)
    assert mails == []


class Line:
    """A mail server's line that breaks where it is told to."""

    def __init__(self, at_open: Exception | None, at_send: Exception | None) -> None:
        self.at_open, self.at_send = at_open, at_send

    def open(self) -> None:
        if self.at_open:
            raise self.at_open

    def send_messages(self, _mails: list[mail.EmailMessage]) -> None:
        if self.at_send:
            raise self.at_send

    def close(self) -> None:
        raise smtplib.SMTPServerDisconnected


@pytest.mark.parametrize(
    ("at_open", "at_send", "kind", "code", "final"),
    [
        (ConnectionRefusedError(), None, NotSent, "ConnectionRefusedError", False),
        (
            smtplib.SMTPAuthenticationError(535, b"ada"),
            None,
            NotSent,
            "SMTPAuthenticationError",
            False,
        ),
        (
            None,
            smtplib.SMTPRecipientsRefused({"ada@example.org": (550, b"ada")}),
            NotSent,
            "SMTP 550",
            True,
        ),
        (None, smtplib.SMTPDataError(451, b"later"), NotSent, "SMTP 451", False),
        (
            None,
            smtplib.SMTPServerDisconnected(),
            InDoubt,
            "SMTPServerDisconnected",
            None,
        ),
        (None, TimeoutError(), InDoubt, "TimeoutError", None),
    ],
)
def test_what_a_broken_line_means(
    monkeypatch: pytest.MonkeyPatch,
    at_open: Exception | None,
    at_send: Exception | None,
    kind: type[NotSent],
    code: str,
    final: bool | None,
) -> None:
    monkeypatch.setattr(senders, "get_connection", lambda: Line(at_open, at_send))
    with pytest.raises(kind) as raised:
        EmailSender().send(queue("email"), list)
    assert raised.value.code == code
    assert getattr(raised.value, "is_final", None) == final
    assert "ada" not in str(raised.value)


# --- files --------------------------------------------------------------------


def test_without_a_sender_a_message_is_a_file_of_its_owner(
    settings: Any, tmp_path: Path
) -> None:
    settings.OUTGOING_DIR = tmp_path / "outgoing"
    message = queue("paper pigeon")
    messages.send_due()
    FileSender(settings.OUTGOING_DIR).send(message, list)
    (file,) = settings.OUTGOING_DIR.iterdir()
    assert file.stat().st_mode & 0o777 == 0o600
    assert settings.OUTGOING_DIR.stat().st_mode & 0o777 == 0o700
    assert "To: ada@example.org" in file.read_text()
    assert OutgoingMessage.objects.get().sent_by == "file"


def test_without_a_mail_server_no_e_mail_counts_as_sent_by_e_mail(
    settings: Any, tmp_path: Path
) -> None:
    settings.OUTGOING_DIR = tmp_path
    queue("email")
    messages.send_due()
    assert mail.outbox == []
    assert OutgoingMessage.objects.get().sent_by == "file"


def test_a_disk_that_is_full_is_a_failure_like_any_other(
    settings: Any, tmp_path: Path
) -> None:
    settings.OUTGOING_DIR = tmp_path / "a file"
    settings.OUTGOING_DIR.write_text("")
    queue("email")
    messages.send_due()
    message = OutgoingMessage.objects.get()
    assert (message.sent_at, message.last_error) == (None, "FileExistsError")
