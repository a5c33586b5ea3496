"""An account's invoice and statement by e-mail: words, paper, and whom it is of."""

from collections.abc import Callable

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse

from shop.billing.accounts.paying import account_payment_take
from shop.billing.models import Invoice
from shop.intake.models import Customer
from shop.messaging import accounts, services
from shop.people import house_services
from shop.people.message_texts import ours
from shop.people.models import Person, Shop
from shop.people.text_fields import unknown
from shop.records.errors import Refused
from shop.records.models import OutgoingMessage
from shop.rights.erasing import customer_erase
from tests.shop.billing.accounts import account_of, college_of, gone_back, issued
from tests.shop.messaging.conftest import Mails

Send = Callable[..., None]
ClientOf = Callable[[str], Client]


@pytest.fixture
def college(texts_read: Shop, marit: Person) -> Customer:
    return college_of(texts_read, marit)


@pytest.fixture
def bill(college: Customer, ines: Person) -> Invoice:
    gone_back(college, ines)
    return issued(college, ines)


def paper_of(one: mail.EmailMessage) -> tuple[str, bytes]:
    (attached,) = one.attachments
    return attached[0], attached[1]


def test_the_monthly_invoice_goes_to_who_gets_the_invoices(
    bill: Invoice, client_of: ClientOf, mails: Mails, send: Send
) -> None:
    desk = client_of("tomas")
    page = desk.get(reverse("billing:invoice_page", args=[bill.number]))
    url = reverse("messaging:account_invoice", args=[bill.number])
    assert url in page.content.decode()
    key = {"idempotency_key": "a-key-of-the-invoice"}
    assert [desk.post(url, key).status_code for _tap in "12"] == [302, 302]
    send()
    (sent,) = mails
    assert sent.to == ["accounts@weir.example"]
    assert sent.subject == f"Invoice {bill.number}, March 2026"
    assert "Hello Weir College" in sent.body
    assert "To pay by 2 May 2026: 118.80 EUR" in sent.body
    assert "{" not in sent.body
    name, body = paper_of(sent)
    assert (name, body[:5]) == (f"{bill.number}.pdf", b"%PDF-")
    account = desk.get(reverse("billing:account", args=[bill.account.customer_id]))
    assert "accounts@weir.example" in account.content.decode()


def test_a_paid_invoice_and_a_credit_note_ask_for_nothing(
    bill: Invoice, college: Customer, marit: Person, mails: Mails, send: Send
) -> None:
    account_payment_take(
        customer=college, by=marit, amount=bill.total, method="transfer"
    )
    accounts.invoice_mail(customer=college, invoice=bill)
    send()
    assert "To pay" not in mails[0].body


def test_the_statement_goes_with_its_days_and_its_balance(
    bill: Invoice, college: Customer, client_of: ClientOf, mails: Mails, send: Send
) -> None:
    desk = client_of("tomas")
    url = reverse("messaging:account_statement", args=[college.pk])
    days = {"first": "2026-04-01", "last": "2026-04-30"}
    desk.post(url, days | {"idempotency_key": "a-key-of-the-statement"})
    wrong = days | {"last": "2026-03-30", "idempotency_key": "another-statement-key"}
    desk.post(url, wrong)
    send()
    (sent,) = mails
    assert sent.subject == "Statement of account, 1 April 2026 to 30 April 2026"
    assert "Owing at its end: 118.80 EUR" in sent.body
    name, body = paper_of(sent)
    assert (name, body[:5]) == ("statement-2026-04-01-2026-04-30.pdf", b"%PDF-")


def test_what_was_lost_is_sent_again_as_a_message_of_its_own(
    bill: Invoice, college: Customer, mails: Mails, send: Send
) -> None:
    for _time in range(2):
        accounts.invoice_mail(customer=college, invoice=bill)
        send()
    assert len(mails) == 2
    ids = OutgoingMessage.objects.values_list("message_id", flat=True)
    assert len(set(ids)) == 2


def test_without_an_address_it_is_refused(
    bill: Invoice, college: Customer, marit: Person
) -> None:
    account_of(college, marit, billing_email="", billing_contact="", at=None)
    Customer.objects.filter(pk=college.pk).update(email="")
    college.refresh_from_db()
    with pytest.raises(Refused, match="no e-mail address"):
        accounts.invoice_mail(customer=college, invoice=bill)


def test_a_failed_one_is_tried_again_with_the_address_put_right(
    bill: Invoice, college: Customer, client_of: ClientOf, mails: Mails, send: Send
) -> None:
    message = accounts.invoice_mail(customer=college, invoice=bill)
    OutgoingMessage.objects.filter(pk=message.pk).update(
        given_up_at=message.queued_at, last_error="SMTP 550"
    )
    desk = client_of("tomas")
    page = desk.get(reverse("billing:account", args=[college.pk])).content.decode()
    assert "the other side refused it (550)" in page
    url = reverse("messaging:account_again", args=[college.pk, message.pk])
    assert url in page
    desk.post(url, {"idempotency_key": "a-key-of-the-message"})
    send()
    assert len(mails) == 1


def test_the_owners_words_are_sent(
    bill: Invoice, college: Customer, marit: Person, mails: Mails, send: Send
) -> None:
    shop = college.shop
    texts = {("account_invoice", "en"): "Bill {invoice}\n\nDear {customer}, {month}."}
    seen = {
        ("account_invoice", "en"): shop.texts.filter(kind="account_invoice")
        .latest("id")
        .pk
    }
    house_services.texts_keep(shop=shop, by=marit, texts=texts, seen=seen)
    last = shop.texts.latest("id").pk
    house_services.texts_confirm(shop=shop, by=marit, last_seen=last)
    accounts.invoice_mail(customer=college, invoice=bill)
    send()
    assert mails[0].subject == f"Bill {bill.number}"
    assert mails[0].body == "Dear Weir College, March 2026."


def test_an_erased_customers_messages_name_nobody(
    bill: Invoice, college: Customer, marit: Person, mails: Mails, send: Send
) -> None:
    accounts.invoice_mail(customer=college, invoice=bill)
    send()
    account_payment_take(
        customer=college, by=marit, amount=bill.total, method="transfer"
    )
    customer_erase(customer=college, by=marit)
    row = OutgoingMessage.objects.get(kind="account_invoice")
    assert (row.to, row.subject, row.text) == ("", "", "")


def test_ours_has_no_field_that_an_account_lacks() -> None:
    """No ticket, no machine, no slip link: its fields are all there are."""
    for kind in ("account_invoice", "statement", "reminder_first"):
        text = ours("en")[kind]
        assert "{device}" not in text
        assert "{link}" not in text
        assert not unknown(kind, text)


def test_message_again_is_only_for_what_was_not_sent(
    bill: Invoice, college: Customer, mails: Mails, send: Send
) -> None:
    message = accounts.invoice_mail(customer=college, invoice=bill)
    send()
    with pytest.raises(Refused, match="sent already"):
        services.message_again(message=message)
