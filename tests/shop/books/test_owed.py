"""What is owed, by age, tied to the balance; reminders once, and apart."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from shop.billing import queries as money
from shop.billing import services as billing
from shop.books import queries, reminders, services
from shop.books.models import PaymentReminder
from shop.intake.models import Customer, Ticket
from shop.people import house_services
from shop.people.models import Person
from shop.records import messages
from shop.records.errors import Refused
from shop.records.models import OutgoingMessage
from tests.factories import TicketFactory
from tests.shop.books.acts import billed, pay, refused, send

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


def test_open_invoices_are_what_tickets_owe(tomas: Person) -> None:
    """Unpaid, paid in part, paid beforehand, overpaid and given back, credited."""
    tickets = [TicketFactory.create(by=tomas) for _n in range(5)]
    unpaid, partly, credited, anew, whole = tickets
    for ticket in (partly, anew, whole):
        pay(ticket, tomas, "42.00" if ticket == whole else "10.00")
    for ticket in tickets:
        billed(ticket, tomas)
    for ticket in (credited, anew):
        standing = money.standing_invoice(ticket)
        assert standing is not None
        billing.credit_note_issue(invoice=standing, by=tomas, reason="wrong")
    billed(anew, tomas)
    found = {one.number: one.owed for one in queries.open_invoices(unpaid.shop)}
    expected = {}
    for ticket in (unpaid, partly, anew):
        invoice = money.standing_invoice(ticket)
        assert invoice is not None
        expected[invoice.number] = money.balance(ticket).due.minor
    assert found == expected
    assert sorted(found.values()) == [3200, 3200, 4200]


@pytest.fixture
def late(ticket: Ticket, tomas: Person) -> Ticket:
    """Billed 30 days ago and due 16 days ago."""
    Customer.objects.filter(pk=ticket.customer_id).update(
        email="ada@pell.example", language="de"
    )
    ticket.refresh_from_db()
    billed(ticket, tomas, at=timezone.now() - 30 * DAY)
    return ticket


def test_a_reminder_goes_out_once_a_level_and_a_week_apart(
    late: Ticket, tomas: Person
) -> None:
    invoice = late.invoices.get()
    now = timezone.now()
    first = services.reminder_send(invoice=invoice, by=tomas, at=now)
    assert (first.level, first.owed_minor, first.language) == (1, 4200, "de")
    with pytest.raises(Refused, match="Reminder 2 may go out"):
        services.reminder_send(invoice=invoice, by=tomas, at=now + 4 * DAY)
    for weeks in (1, 3):  # the second waits for its days, the last for a week
        services.reminder_send(invoice=invoice, by=tomas, at=now + weeks * 7 * DAY)
    with pytest.raises(Refused, match="All three"):
        services.reminder_send(invoice=invoice, by=tomas, at=now + 90 * DAY)
    assert OutgoingMessage.objects.filter(kind=services.REMINDER).count() == 3


def test_its_words_are_in_the_customers_language_with_the_letter(
    late: Ticket, tomas: Person
) -> None:
    invoice_number = late.invoices.get().number
    row = services.reminder_send(invoice=late.invoices.get(), by=tomas)
    message = OutgoingMessage.objects.get(kind=services.REMINDER)
    assert messages.word(message)
    assert message.to == "ada@pell.example"
    assert "42,00 EUR" in message.text
    assert invoice_number in message.subject
    letter = reminders.letter_html(row)
    assert "42,00 EUR" in letter
    assert 'lang="de"' in letter
    assert reminders.letter(row) == reminders.letter(row)


def test_paid_meanwhile_nothing_is_sent(late: Ticket, tomas: Person) -> None:
    services.reminder_send(invoice=late.invoices.get(), by=tomas)
    pay(late, tomas, "42.00", "transfer")
    message = OutgoingMessage.objects.get(kind=services.REMINDER)
    assert not messages.word(message)
    message.refresh_from_db()
    assert message.withheld == "over"
    with pytest.raises(Refused, match="Nothing of this invoice"):
        services.reminder_send(invoice=late.invoices.get(), by=tomas)


def test_a_reminder_that_is_refused_leaves_nothing(
    ticket: Ticket, tomas: Person, client_of: Callable[[str], Client]
) -> None:
    """Due in a fortnight: no row, no message, and the page says when."""
    invoice = billed(ticket, tomas)
    page = refused(client_of("tomas"), "books:remind", {}, invoice.number)
    assert "Reminder 1 may go out on" in page
    assert not PaymentReminder.objects.exists()
    assert not OutgoingMessage.objects.filter(kind=services.REMINDER).exists()


def test_the_owners_days_hold_from_then_on(
    late: Ticket, client_of: Callable[[str], Client]
) -> None:
    owner = client_of("marit")
    form = {"first": "20", "second": "30", "last": "40"}
    send(owner, "books:reminder_rules", form)
    due = queries.reminder_due(late.invoices.get(), timezone.now())
    assert "may go out" in due.refusal
    too_near = form | {"second": "22"}
    assert "at least 7 days" in refused(owner, "books:reminder_rules", too_near)


def test_the_page_shows_buckets_and_their_sum(
    late: Ticket, client_of: Callable[[str], Client]
) -> None:
    page = client_of("tomas").get("/books/owed/").content.decode()
    assert "42.00" in page
    assert "Send reminder 1" in page
    assert "16 days late" in page


def test_the_owners_words_are_on_the_mail_and_the_letter_of_their_day(
    late: Ticket, tomas: Person, marit: Person
) -> None:
    """Read words hold from then on; a reminder of before keeps its own."""
    shop, invoice = late.shop, late.invoices.get()
    before = services.reminder_send(invoice=invoice, by=tomas)
    old = reminders.letter_html(before)
    texts = {("reminder_second", "de"): "Noch {owing}\n\n{customer}, bis {due_day}."}
    house_services.texts_keep(shop=shop, by=marit, texts=texts, seen={})
    last = shop.texts.latest("id").pk
    house_services.texts_confirm(shop=shop, by=marit, last_seen=last)
    later = timezone.now() + 8 * DAY
    row = services.reminder_send(invoice=invoice, by=tomas, at=later)
    message = OutgoingMessage.objects.get(paper=str(row.pk))
    assert messages.word(message)
    assert message.subject == "Noch 42,00 EUR"
    assert f"{invoice.buyer['name']}, bis " in message.text
    assert "Noch 42,00 EUR" in reminders.letter_html(row)
    assert reminders.letter_html(before) == old


def test_emptied_words_send_no_mail_and_the_letter_has_ours(
    late: Ticket, tomas: Person, marit: Person
) -> None:
    shop = late.shop
    texts = {("reminder_first", "de"): "x"}
    house_services.texts_keep(shop=shop, by=marit, texts=texts, seen={})
    key = ("reminder_first", "de")
    seen = {key: shop.texts.latest("id").pk}
    house_services.texts_keep(shop=shop, by=marit, texts={key: ""}, seen=seen)
    last = shop.texts.latest("id").pk
    house_services.texts_confirm(shop=shop, by=marit, last_seen=last)
    row = services.reminder_send(invoice=late.invoices.get(), by=tomas)
    assert not messages.word(OutgoingMessage.objects.get(paper=str(row.pk)))
    assert "42,00 EUR" in reminders.letter_html(row)
