"""Papers that no e-mail could bring stand on the day list until somebody acts."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from shop.billing.accounts.paying import account_payment_take
from shop.billing.models import Invoice
from shop.books import reminders
from shop.books import services as books
from shop.desk.day import day_list
from shop.desk.day_tasks import Task
from shop.desk.day_unsent import Unsent
from shop.intake import event_words
from shop.intake.models import Customer
from shop.messaging import accounts
from shop.people.models import Person, Shop
from shop.records import messages
from shop.records.models import Event, OutgoingMessage
from shop.records.senders import NotSent
from tests.shop.billing.accounts import account_of, college_of, gone_back, issued

ClientOf = Callable[[str], Client]
Send = Callable[..., None]
LATER = timedelta(days=400)


@pytest.fixture
def college(texts_read: Shop, marit: Person) -> Customer:
    return college_of(texts_read, marit)


@pytest.fixture
def bill(college: Customer, ines: Person) -> Invoice:
    gone_back(college, ines)
    return issued(college, ines)


@pytest.fixture
def refusing(monkeypatch: pytest.MonkeyPatch, send: Send) -> Send:
    """The other side takes nothing, for good."""

    class Refusing:
        name = "email"

        def send(self, _message: object, _begin: object) -> None:
            raise NotSent("SMTP 550", is_final=True)

    monkeypatch.setattr(messages, "sender_of", lambda _channel: Refusing())
    return send


def tasks(shop: Shop) -> list[Task | Unsent]:
    return day_list(shop, timezone.now()).tasks


def one(shop: Shop) -> Unsent:
    [task] = tasks(shop)
    assert isinstance(task, Unsent)
    return task


def posted(desk: Client, name: str, *args: object, key: str = "1") -> str:
    data = {"idempotency_key": f"0123456789abcdef-{key}", "then": "day"}
    answer = desk.post(reverse(f"messaging:{name}", args=args), data)
    assert answer.status_code == 302
    return str(answer["Location"])


def test_a_monthly_invoice_that_failed_is_a_task_with_its_acts(
    bill: Invoice, college: Customer, refusing: Send, client_of: ClientOf
) -> None:
    desk, shop = client_of("tomas"), college.shop
    seen = desk.get("/counter/").content.decode()
    version = seen.split('name="seen" value="')[1].split('"')[0]
    mail = accounts.invoice_mail(customer=college, invoice=bill)
    assert tasks(shop) == []
    refusing()
    task = one(shop)
    assert (task.customer, task.named, task.ticket) == (college, bill.number, None)
    live = desk.get(f"/counter/live/?seen={version}", headers={"hx-request": "true"})
    assert live.status_code == 200, "another screen is drawn anew"
    page = desk.get("/counter/").content.decode()
    assert f"{task.message.about.capitalize()} {bill.number}" in page
    assert "the other side refused it (550)" in page
    assert reverse("billing:account", args=[college.pk]) in page
    again = reverse("messaging:account_again", args=[college.pk, mail.pk])
    assert again in page
    assert again not in client_of("ines").get("/counter/").content.decode()


def test_tried_again_it_is_no_task_until_it_fails_anew(
    bill: Invoice, college: Customer, refusing: Send, client_of: ClientOf
) -> None:
    mail = accounts.invoice_mail(customer=college, invoice=bill)
    refusing()
    args = (college.pk, mail.pk)
    assert posted(client_of("tomas"), "account_again", *args) == "/counter/"
    assert tasks(college.shop) == []
    refusing()
    assert one(college.shop).message.message.pk == mail.pk


def test_given_another_way_it_goes_out_no_more(
    bill: Invoice, college: Customer, refusing: Send, client_of: ClientOf
) -> None:
    accounts.statement_mail(
        customer=college, first=bill.issued_at.date(), last=bill.issued_at.date()
    )
    refusing()
    task = one(college.shop)
    assert task.named
    desk, args = client_of("tomas"), (college.pk, task.message.message.pk)
    assert posted(desk, "account_otherwise", *args) == "/counter/"
    assert tasks(college.shop) == []
    row = OutgoingMessage.objects.get()
    assert (row.withheld, row.sent_at) == ("otherwise", None)
    said = event_words.happened(Event.objects.latest("id"))
    assert said.startswith("Given to the customer another way: ")
    account = desk.get(reverse("billing:account", args=[college.pk]))
    page = account.content.decode()
    assert "given to the customer another way" in page
    assert "account_otherwise" not in page
    posted(desk, "account_otherwise", *args, key="2")
    assert Event.objects.filter(kind="message_otherwise").count() == 1


def test_a_message_of_another_account_is_not_found(
    bill: Invoice, college: Customer, refusing: Send, client_of: ClientOf, marit: Person
) -> None:
    mail = accounts.invoice_mail(customer=college, invoice=bill)
    other = college_of(college.shop, marit)
    url = reverse("messaging:account_otherwise", args=[other.pk, mail.pk])
    key = {"idempotency_key": "0123456789abcdef-1"}
    assert client_of("tomas").post(url, key).status_code == 404


def reminded(bill: Invoice, by: Person, refusing: Send) -> None:
    at = timezone.now() + LATER
    books.reminder_send(invoice=bill, by=by, at=at)
    refusing()


def test_a_reminder_that_failed_is_a_task_while_it_is_owed(
    bill: Invoice, college: Customer, refusing: Send, marit: Person
) -> None:
    reminded(bill, marit, refusing)
    task = one(college.shop)
    assert (task.customer, task.named) == (college, bill.number)
    account_payment_take(
        customer=college, by=marit, amount=bill.total, method="transfer"
    )
    assert tasks(college.shop) == []


def test_a_reminder_goes_where_the_accounts_invoices_go_now(
    bill: Invoice, college: Customer, marit: Person
) -> None:
    """Put right on the account's page, the next try finds the new address."""
    assert reminders.address_of(bill) == "accounts@weir.example"
    account_of(college, marit, billing_email="new@weir.example", at=None)
    assert reminders.address_of(Invoice.objects.get(pk=bill.pk)) == "new@weir.example"


def test_the_list_asks_no_more_for_many_of_them(
    bill: Invoice,
    college: Customer,
    refusing: Send,
    django_assert_max_num_queries: Callable[[int], Any],
) -> None:
    for _time in range(4):
        accounts.invoice_mail(customer=college, invoice=bill)
    refusing()
    with django_assert_max_num_queries(12):
        assert len(tasks(college.shop)) == 4
