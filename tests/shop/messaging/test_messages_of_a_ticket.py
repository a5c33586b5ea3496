"""Each event that matters sends one message, said from facts; else it says why not."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from shop.billing import services as billing
from shop.desk import services as desk
from shop.intake import queries, services
from shop.intake.models import Customer, Ticket
from shop.intake.turn import Whose
from shop.people import house_services
from shop.people.models import Person, Shop
from shop.records import senders
from shop.records.kinds import Kind
from shop.records.models import Event, OutgoingMessage
from tests.drills.post_office import post_office
from tests.factories import DeviceFactory, TicketFactory
from tests.proving import proved
from tests.samples import line
from tests.shop.messaging.conftest import Mails

pytestmark = pytest.mark.django_db
Send = Callable[..., None]


def kinds(ticket: Ticket, **having: Any) -> list[str]:
    rows = OutgoingMessage.objects.filter(ticket_id=ticket.pk, **having)
    return list(rows.order_by("id").values_list("kind", flat=True))


def test_a_ticket_writes_at_its_events_once_each(
    texts_read: Shop,
    ada: Customer,
    tomas: Person,
    ines: Person,
    mails: Mails,
    send: Send,
) -> None:
    soon = timezone.now() + timedelta(days=3)
    job = TicketFactory.create(by=tomas, customer=ada, ready_by=soon)
    send()
    quote = billing.quote_send(ticket=job, by=tomas, lines=[line()])
    send()
    billing.quote_answer(
        quote=quote, is_yes=True, answered_by="Ada", channel="phone", recorded_by=tomas
    )
    services.promise_make(ticket=job, by=tomas, promise=soon + timedelta(days=2))
    send()
    billing.time_record(
        ticket=job,
        by=ines,
        person=ines,
        kind="repair",
        minutes=60,
        started_at=job.opened_at,
    )
    services.outcome_record(ticket=proved(job, ines), by=ines, kind="fixed")
    assert queries.turn_of(job, timezone.now()).waits_for == "ready_not_told"
    for _twice in range(2):
        send()
    assert queries.turn_of(job, timezone.now()).waits_for == "ready_told"
    desk.invoice_issue(ticket=job, by=tomas)
    desk.hand_over(ticket=job, by=tomas, given_to="Ada", may_owe=True, owing_reason="x")
    send()
    said = ["taken_in", "quote_sent", "new_promise", "ready", "thanks"]
    assert kinds(job) == said
    assert kinds(job, sent_at__isnull=False) == said
    assert [m.to for m in mails] == [["ada@example.org"]] * 5
    assert mails[0].reply_to == ["desk@hollin-lane.example"]
    taken_in, quoted, _promise, ready, thanks = (str(m.body) for m in mails)
    assert mails[0].subject == f"Taken in: Orrin 14, ticket {job.number}"
    assert "https://repairs.hollin-lane.example/" in taken_in
    assert "first_word" not in taken_in
    assert "You hear from us" not in taken_in  # nothing was promised: no line
    assert "Our quote comes to 120.00 EUR" in quoted
    assert "It is repaired and tested." in ready
    assert "Warranty on the repair until" in thanks
    told = Event.objects.filter(ticket_id=job.pk, kind=Kind.MESSAGE_SENT)
    assert [event.codes["about"] for event in told.order_by("id")] == said


@pytest.mark.parametrize("says_so", [True, False])
def test_a_machine_that_stays_is_thanked_for_as_what_it_is(
    says_so: bool, job: Ticket, marit: Person, mails: Mails, send: Send
) -> None:
    if not says_so:
        shop, old = job.shop, "Thank you, ticket {ticket}\n\nCome again with {device}."
        key = ("thanks", "en")
        seen = {key: shop.texts.filter(kind="thanks", language="en").latest("id").pk}
        house_services.texts_keep(shop=shop, by=marit, texts={key: old}, seen=seen)
        last = shop.texts.latest("id").pk
        house_services.texts_confirm(shop=shop, by=marit, last_seen=last)
    services.outcome_record(
        ticket=job, by=marit, kind="no_fix", no_fix_reason="no_part"
    )
    desk.hand_over(
        ticket=job,
        by=marit,
        given_to="Ada",
        ending=services.Ending(way="left", drive="returned"),
        is_paper_signed=True,
        may_owe=True,
        owing_reason="x",
    )
    send()
    (thanks,) = OutgoingMessage.objects.filter(ticket_id=job.pk, kind="thanks")
    if not says_so:
        assert thanks.withheld == "stays"
        return
    body = str(mails[-1].body)
    assert "It is ours now: you left it to us. You have its drive back." in body
    assert "Warranty" not in body


def test_the_words_are_there_at_once_and_shown(
    texts_read: Shop,
    ada: Customer,
    tomas: Person,
    mails: Mails,
    send: Send,
    client_of: Callable[[str], Client],
    django_capture_on_commit_callbacks: Any,
) -> None:
    """After the commit, without waiting for the job; the page shows the text."""
    with django_capture_on_commit_callbacks(execute=True):
        job = TicketFactory.create(by=tomas, customer=ada)
    page = client_of("tomas").get(job.get_absolute_url()).content.decode()
    assert "We have taken in your Orrin 14" in page
    assert "goes out now" in page
    send()
    page = client_of("tomas").get(job.get_absolute_url()).content.decode()
    assert "Message sent by e-mail: taken in" in page


def test_nothing_goes_out_before_the_owner_has_read_the_texts(
    ada: Customer,
    tomas: Person,
    mails: Mails,
    send: Send,
    django_capture_on_commit_callbacks: Any,
) -> None:
    with django_capture_on_commit_callbacks(execute=True):
        job = TicketFactory.create(by=tomas, customer=ada)
    send()
    assert not mails
    assert kinds(job, text="", tries=0) == ["taken_in"]


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        ({"channel": "none"}, "no_messages"),
        ({"channel": "phone"}, "by_phone"),
        ({"email": ""}, "no_address"),
    ],
)
def test_the_customers_channel_counts(
    texts_read: Shop,
    ada: Customer,
    tomas: Person,
    mails: Mails,
    send: Send,
    changed: dict[str, str],
    why: str,
) -> None:
    Customer.objects.filter(pk=ada.pk).update(**changed)
    job = TicketFactory.create(by=tomas, customer=Customer.objects.get(pk=ada.pk))
    send()
    assert not mails
    assert kinds(job, withheld=why) == ["taken_in"]


def test_a_text_without_a_way_to_send_it_is_no_word_to_the_customer(
    texts_read: Shop,
    ada: Customer,
    tomas: Person,
    send: Send,
    settings: Any,
    tmp_path: Any,
) -> None:
    settings.OUTGOING_DIR = tmp_path
    Customer.objects.filter(pk=ada.pk).update(channel="text", phone_e164="+005550142")
    job = TicketFactory.create(by=tomas, customer=Customer.objects.get(pk=ada.pk))
    services.outcome_record(ticket=job, by=tomas, kind="no_fault_found")
    send()
    assert "can be collected" in "".join(f.read_text() for f in tmp_path.glob("*.txt"))
    turn = queries.turn_of(job, timezone.now())
    assert (turn.whose, turn.waits_for) == (Whose.HANDOVER, "ready_not_told")


def test_several_machines_are_one_message(
    texts_read: Shop, ada: Customer, tomas: Person, mails: Mails, send: Send
) -> None:
    one = TicketFactory.create(by=tomas, customer=ada)
    device = DeviceFactory.create(customer=ada, model="Orrin 15")
    two = TicketFactory.create(by=tomas, device=device, came_with=one)
    send()
    assert [m.subject for m in mails] == [
        f"Taken in: Orrin 14, Orrin 15, ticket {one.number}, {two.number}"
    ]


def test_a_name_full_of_braces_and_breaks_does_nothing(
    texts_read: Shop, ada: Customer, tomas: Person, mails: Mails, send: Send
) -> None:
    """Neither a field in a field nor another header (trust.md, 1.3.7)."""
    evil = "{link} {{settings.SECRET_KEY}} {0.__class__} Orrin\r\nBcc: x@example.org"
    device = DeviceFactory.create(customer=ada, model=evil)
    TicketFactory.create(by=tomas, device=device)
    send()
    [sent] = mails
    assert "{link} {{settings.SECRET_KEY}} {0.__class__} Orrin Bcc:" in sent.subject
    assert sent.bcc == []


def test_what_was_overtaken_is_not_sent(
    job: Ticket, tomas: Person, mails: Mails, send: Send
) -> None:
    quote = billing.quote_send(ticket=job, by=tomas, lines=[line()])
    billing.quote_answer(
        quote=quote, is_yes=True, answered_by="Ada", channel="phone", recorded_by=tomas
    )
    send()
    assert kinds(job, withheld="over") == ["quote_sent"]
    assert kinds(job, sent_at__isnull=False) == ["taken_in"]


def test_what_came_from_a_file_or_is_old_asks_for_none(
    texts_read: Shop, ada: Customer, tomas: Person
) -> None:
    TicketFactory.create(by=tomas, customer=ada, old_number="R-77")
    long_ago = timezone.now() - timedelta(days=3)
    TicketFactory.create(by=tomas, customer=ada, at=long_ago)
    assert not OutgoingMessage.objects.exists()


def test_after_an_hour_without_mail_server_each_arrives_once(
    texts_read: Shop,
    ada: Customer,
    tomas: Person,
    send: Send,
    mails: Mails,
    settings: Any,
) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_TIMEOUT = "127.0.0.1", 5
    with post_office() as office:
        settings.EMAIL_PORT = office.port
    jobs = [TicketFactory.create(by=tomas, customer=ada) for _one in range(5)]
    for _minute in (0, 1, 3, 7, 15, 31, 59):  # the back-off's tries within the hour
        send(minutes=40)
    waiting = OutgoingMessage.objects.filter(sent_at=None, given_up_at=None, tries=7)
    assert waiting.count() == 5
    with post_office() as office:
        settings.EMAIL_PORT = office.port
        for _again in range(3):
            send(hours=6)
    assert len(office.letters) == len({name for name, _to in office.letters}) == 5
    assert all(kinds(job, sent_at__isnull=False) == ["taken_in"] for job in jobs)


def test_a_refused_one_is_said_tried_again_or_told_by_phone(
    job: Ticket,
    tomas: Person,
    mails: Mails,
    send: Send,
    client_of: Callable[[str], Client],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    class Refusing:
        name = "email"

        def send(self, message: OutgoingMessage, begin: object) -> None:
            raise senders.NotSent("SMTP 550", is_final=True)

    services.outcome_record(ticket=job, by=tomas, kind="no_fault_found")
    monkeypatch.setattr(senders, "_senders", {"email": Refusing()})
    send()
    page = client_of("tomas").get(job.get_absolute_url()).content.decode()
    assert "could not be sent: the other side refused it (550)" in page
    assert "Message could not be sent: ready for collection" in page
    monkeypatch.setattr(senders, "_senders", {})
    taken_in, ready = OutgoingMessage.objects.order_by("id")
    desk_ = client_of("tomas")
    Customer.objects.update(email="ada.pell@example.org")
    press(desk_, job, taken_in, "again", "1")
    press(desk_, job, ready, "told", "2")
    assert queries.turn_of(job, timezone.now()).waits_for == "ready_told"
    send()
    assert [m.to for m in mails] == [["ada.pell@example.org"]]
    again = press(desk_, job, taken_in, "again", "3")
    assert "It was sent already." in again.content.decode()


def press(
    desk_: Client, job: Ticket, message: OutgoingMessage, act: str, key: str
) -> Any:
    url = f"{job.get_absolute_url()}messages/{message.pk}/{act}/"
    return desk_.post(url, {"idempotency_key": f"press-{key:->20}"}, follow=True)


def test_an_invoice_goes_out_when_it_is_wished(
    job: Ticket,
    ines: Person,
    tomas: Person,
    mails: Mails,
    send: Send,
    client_of: Callable[[str], Client],
) -> None:
    services.outcome_record(ticket=job, by=ines, kind="no_fault_found")
    invoice = desk.invoice_issue(ticket=job, by=tomas)
    url = f"{job.get_absolute_url()}messages/invoice/"
    for key in ("1", "2"):
        client_of("tomas").post(url, {"idempotency_key": f"invoice-{key:->20}"})
    send()
    [sent] = [m for m in mails if m.subject == f"Invoice {invoice.number}"]
    [(name, body, mime)] = sent.attachments
    assert (name, mime) == (f"{invoice.number}.pdf", "application/pdf")
    assert body.startswith(b"%PDF")
    assert "To pay: 42.00 EUR" in str(sent.body)


def test_it_speaks_the_customers_language_in_the_shops_zone(
    texts_read: Shop,
    marit: Person,
    ada: Customer,
    tomas: Person,
    mails: Mails,
    send: Send,
) -> None:
    texts_read.time_zone = "Europe/Berlin"
    texts_read.save()
    words = "Neuer Termin {ticket}\n\nFertig bis {promise}."
    house_services.texts_keep(
        shop=texts_read, by=marit, texts={("new_promise", "de"): words}, seen={}
    )
    last = texts_read.texts.latest("id").pk
    house_services.texts_confirm(shop=texts_read, by=marit, last_seen=last)
    Customer.objects.filter(pk=ada.pk).update(language="de")
    job = TicketFactory.create(by=tomas, customer=ada, shop=texts_read)
    monday = datetime(2099, 3, 30, 15, tzinfo=UTC)  # the clocks went on the day before
    services.promise_make(ticket=job, by=tomas, promise=monday)
    send()
    assert mails[-1].body == "Fertig bis Montag, 30. März, 17:00."
