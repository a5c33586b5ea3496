"""Erased is erased: words planted through the pages are looked for everywhere.

What must be left is the papers of account, column by column (trust.md, B3: erasure
against the retention of tax papers, GDPR 17(3)(b)).
"""

import logging
import re
import uuid
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from functools import partial
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings as django_settings
from django.db import DatabaseError, transaction
from django.test import Client
from django.utils import timezone

from shop.billing import papers
from shop.billing import services as billing
from shop.billing.models import Invoice, Payment, Quote, QuoteDraft
from shop.intake.models import Customer, Handover, Ticket
from shop.money import Money
from shop.people.models import Person, Shop
from shop.photos.models import Photo
from shop.records.errors import Refused
from shop.records.kinds import Kind
from shop.records.models import Event, OutgoingMessage
from shop.rights import outgoing
from shop.rights.due import due, erase_due, finish
from shop.rights.erasing import customer_erase
from shop.rights.handing import parts_of
from shop.rights.review import review
from shop.rights.whom import obstacle, whom
from tests.factories import CustomerFactory, TicketFactory
from tests.shop.photos.conftest import files_in
from tests.shop.rights.conftest import Words
from tests.shop.rights.sweep import found

ClientOf = Callable[[str], Client]

# What the law keeps, and with which of the words (``told`` is in conftest).
PAPERS = {
    ("billing_invoice.buyer", "name"),
    ("billing_invoice.buyer", "address"),
    ("billing_invoice.buyer", "email"),
    ("billing_invoice.buyer", "their_reference"),
    ("billing_invoice.device", "model"),
    ("billing_invoice.device", "serial"),
    ("billing_invoice.story", "told"),
    ("billing_invoice.story", "found"),
    ("billing_invoice.story", "done"),
    ("billing_invoice.story", "proved"),
    ("billing_quote.cause", "cause"),
    ("billing_quote.risk", "risk"),
    ("billing_quotedraft.cause", "draftcause"),
    ("billing_payment.reference", "reference"),
}


def erase(owner: Client, customer: Customer) -> None:
    """The two steps, as the owner takes them."""
    url = f"/rights/customers/{customer.pk}/erase/"
    key = {"idempotency_key": str(uuid.uuid4())}
    assert owner.get(url).status_code == 200
    assert owner.post(url, key).status_code == 422
    key = {"idempotency_key": str(uuid.uuid4())}
    sure = owner.post(url, key | {"has_read": "on"})
    hidden = dict(re.findall(r'name="(\w+)" value="([^"]+)"', sure.content.decode()))
    assert Customer.objects.get(pk=customer.pk).erased_at is None
    second = {name: hidden[name] for name in ("word", "idempotency_key")}
    assert owner.post(url, second).status_code == 302


def named(words: Words) -> set[tuple[str, str]]:
    """Where the words stand, by their names."""
    known = {text: name for name, text in words.items()}
    return {(place, known[text]) for place, text in found(words.values())}


def test_no_word_is_left_but_on_papers(
    told: Ticket,
    words: Words,
    client_of: ClientOf,
    caplog: pytest.LogCaptureFixture,
    django_capture_on_commit_callbacks: Any,
) -> None:
    caplog.set_level(logging.DEBUG)
    owner = client_of("marit")
    find = f"/find/?q={words['name']}"
    pages = (f"/tickets/{told}/", "/counter/", "/office/")
    for page in (*pages, find):
        owner.get(page, follow=True)
    before = named(words)
    where = {name for _place, name in before} | {"passcode"}  # gone at the handover
    assert where == set(words), "the sweep can't see these"
    assert {place.partition(" ")[0] for place, _ in before} >= {"file", "sealed"}
    with django_capture_on_commit_callbacks(execute=True):
        assert len(files_in(Path(django_settings.MEDIA_ROOT))) == 4
        erase(owner, told.customer)
    assert named(words) == PAPERS
    assert not [text for text in words.values() if text in caplog.text]
    assert not list(Path(django_settings.OUTGOING_DIR).glob("*"))
    assert not files_in(Path(django_settings.MEDIA_ROOT))
    for page in pages:
        shown = owner.get(page, follow=True)
        assert shown.status_code == 200
        assert not [w for w in words.values() if w in shown.content.decode()], page
    assert told.get_absolute_url() not in owner.get(find).content.decode()
    assert_papers_are_whole(words)


def assert_papers_are_whole(words: Words) -> None:
    invoice = Invoice.objects.get()
    assert words["name"] in papers.invoice_html(invoice)
    (event,) = Event.objects.filter(kind=Kind.CUSTOMER_ERASED)
    customer = Customer.objects.get(pk=event.ids["customer"])
    assert (event.note, event.codes) == (None, {"because": "asked"})
    assert customer.name == f"Erased customer {customer.pk}"
    assert customer.erased_at


def test_after_the_papers_years_nothing_is_left_at_all(
    told: Ticket, words: Words, tomas: Person, django_capture_on_commit_callbacks: Any
) -> None:
    sums = Invoice.objects.get().total
    with django_capture_on_commit_callbacks(execute=True):
        customer_erase(customer=told.customer, by=None)
    year = timezone.now().year
    last_day = timezone.now().replace(year=year + 10, month=12, day=20)
    found_due = {one.what: len(one.rows) for one in due(told.shop, last_day)}
    assert found_due["papers"] == 0
    after = last_day + timedelta(days=40)
    assert {one.what: len(one.rows) for one in due(told.shop, after)}["papers"] == 4
    assert erase_due(told.shop, after)["papers"] == 4
    finish()
    assert named(words) == set()
    invoice = Invoice.objects.get()
    assert (invoice.buyer, invoice.total) == ({}, sums)
    assert invoice.number in papers.invoice_html(invoice)


CHANGES: list[tuple[Any, dict[str, Any]]] = [
    (Invoice, {"total_minor": 1}),
    (Invoice, {"buyer": {"name": "Another"}}),
    (Invoice, {"buyer": {}, "number": "1"}),
    (Quote, {"cause": "other"}),
    (QuoteDraft, {"cause": "other"}),
    (Payment, {"reference": "other"}),
    (Payment, {"amount_minor": 1}),
]


def test_a_paper_lets_itself_be_emptied_and_no_more(told: Ticket) -> None:
    for model, change in CHANGES:
        rows = model.objects.all()
        for act in (
            partial(rows.update, **change),
            partial(rows._raw_delete, "default"),
        ):
            refused = pytest.raises(DatabaseError, match="never changed")
            with refused, transaction.atomic():
                act()
    assert Quote.objects.update(cause="", risk="") == 1


@pytest.mark.django_db
def test_refused_while_a_ticket_is_open_or_money_is_owing(
    worked_ticket: Ticket, tomas: Person, marit: Person, client_of: ClientOf
) -> None:
    customer = worked_ticket.customer
    with pytest.raises(Refused, match=f"Ticket {worked_ticket} is open"):
        customer_erase(customer=customer, by=marit)
    Handover.objects.create(ticket=worked_ticket, given_to="Ada Pell")
    with pytest.raises(Refused, match=r"Money is owing: .* of invoice"):
        customer_erase(customer=customer, by=marit)
    url = f"/rights/customers/{customer.pk}/erase/"
    form = {"has_read": "on", "idempotency_key": str(uuid.uuid4())}
    answer = client_of("marit").post(url, form)
    assert answer.status_code == 422
    assert "Money is owing" in answer.content.decode()
    assert Customer.objects.get(pk=customer.pk).name == "Ada Pell"


@pytest.mark.django_db
def test_who_came_back_between_the_steps_is_not_erased(
    ticket: Ticket, tomas: Person, client_of: ClientOf
) -> None:
    Handover.objects.create(ticket=ticket, given_to="Ada Pell")
    owner, url = client_of("marit"), f"/rights/customers/{ticket.customer_id}/erase/"
    form = {"has_read": "on", "idempotency_key": str(uuid.uuid4())}
    sure = owner.post(url, form).content.decode()
    word = re.search(r'name="word" value="([^"]+)"', sure)
    assert word
    again = TicketFactory.create(by=tomas, customer=ticket.customer)
    Handover.objects.create(ticket=again, given_to="Ada Pell")
    form = {"word": word[1], "idempotency_key": str(uuid.uuid4())}
    answer = owner.post(url, form)
    assert answer.status_code == 422
    assert "Something changed meanwhile" in answer.content.decode()
    assert obstacle(whom(ticket.customer)) == ""
    form = {"word": "forged", "idempotency_key": str(uuid.uuid4())}
    assert owner.post(url, form).status_code == 422


@pytest.mark.django_db
def test_an_erased_customer_is_offered_to_nobody(
    ticket: Ticket, tomas: Person, client_of: ClientOf
) -> None:
    Handover.objects.create(ticket=ticket, given_to="Ada Pell")
    customer_erase(customer=ticket.customer, by=None)
    CustomerFactory.create(shop=ticket.shop, name="Erased Earl")
    page = client_of("tomas").get("/counter/customers/?name=erased", follow=True)
    assert "Erased Earl" in page.content.decode()
    assert "Erased customer" not in page.content.decode()
    with pytest.raises(Refused, match="take them in as a new one"):
        TicketFactory.create(by=tomas, device=Ticket.objects.get().device)
    with pytest.raises(Refused, match="erased already"):
        customer_erase(customer=ticket.customer, by=None)


@pytest.mark.django_db
def test_files_that_cant_be_deleted_now_are_tried_again(
    told: Ticket,
    monkeypatch: pytest.MonkeyPatch,
    django_capture_on_commit_callbacks: Any,
) -> None:
    def broken(*_given: object, **_more: object) -> None:
        raise OSError(5, "Input/output error")

    with monkeypatch.context() as patched:
        patched.setattr("django.core.files.storage.default_storage.delete", broken)
        patched.setattr(Path, "unlink", broken)
        with django_capture_on_commit_callbacks(execute=True):
            customer_erase(customer=told.customer, by=None)
    assert Photo.objects.filter(files_gone_at=None).count() == 2
    folder = Path(django_settings.OUTGOING_DIR)
    assert list(folder.glob("*.txt"))
    from shop.photos.sweeping import sweep

    sweep()
    assert outgoing.sweep() == 0
    assert not Photo.objects.filter(files_gone_at=None).exists()
    assert not list(folder.glob("*.txt"))


@pytest.mark.django_db
def test_one_that_fails_halfway_erases_nothing(
    told: Ticket, words: Words, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_given: object) -> None:
        raise RuntimeError

    before = named(words)
    monkeypatch.setattr("shop.rights.erasing.searching.texts_renew", broken)
    with pytest.raises(RuntimeError):
        customer_erase(customer=told.customer, by=None)
    assert named(words) == before
    assert OutgoingMessage.objects.exclude(text="").exists()


# --- a name typed at a sale -------------------------------------------------


def sold_to(shop: Shop, by: Person, **buyer: str) -> Invoice:
    one = billing.Sold("Cable", Decimal(1), Money.of("9.00", "EUR"), Decimal(20))
    made = billing.sale_do(
        shop=shop, by=by, sold=[one], method="cash", with_tax=False, buyer=buyer
    )
    return made.invoice


def erase_names(owner: Client, typed: dict[str, Any], status: int) -> str:
    key = {"idempotency_key": str(uuid.uuid4())}
    answer = owner.post("/rights/sales/", key | typed)
    assert answer.status_code == status, answer.content.decode()
    return answer.content.decode()


def test_a_name_typed_at_a_sale_is_found_by_name_and_taken_off(
    told: Ticket, words: Words, tomas: Person, client_of: ClientOf
) -> None:
    """The canary sweep: nowhere is it left; another's sale keeps its name."""
    buyer = {"name": words("saleName"), "address": words("saleAddress")}
    sale = sold_to(told.shop, tomas, **buyer)
    other = sold_to(told.shop, tomas, name="Somebody Else")
    planted = {words["saleName"], words["saleAddress"]}
    assert {place for place, _word in found(planted)} == {"billing_invoice.buyer"}
    owner = client_of("marit")
    assert words["saleName"] in owner.get(sale_page(words)).content.decode()
    found_none = owner.get("/rights/sales/?q=nobody").content.decode()
    assert "No sale names them" in found_none
    typed = {"q": words["saleName"], "number": sale.number}
    assert "Make sure of that first" in erase_names(owner, typed, 422)
    unticked = {"q": words["saleName"], "needs_no_name": "on"}
    assert "Tick the sales" in erase_names(owner, unticked, 422)
    erase_names(owner, typed | {"needs_no_name": "on"}, 302)
    assert found(planted) == set()
    other.refresh_from_db()
    sale.refresh_from_db()
    assert (sale.buyer, other.buyer["name"]) == ({}, "Somebody Else")
    assert papers.invoice_pdf(sale)[:5] == b"%PDF-"
    (event,) = Event.objects.filter(kind=Kind.PERSONAL_ERASED)
    assert (event.codes, event.amounts) == ({"what": "sales"}, {"rows": 1})


def sale_page(words: Words) -> str:
    return f"/rights/sales/?q={words['saleName']}"


def test_a_sale_to_a_customer_by_name_is_theirs_and_goes_with_the_papers(
    told: Ticket, words: Words, tomas: Person, django_capture_on_commit_callbacks: Any
) -> None:
    """Handed out with the rest; kept as issued for its years, then nobody's."""
    sale = sold_to(told.shop, tomas, name=f"Ms {words['name']}")
    parts = {part.title: part.rows for part in parts_of(whom(told.customer))}
    (row,) = parts["Sales with your name on the paper"]
    assert row.data["number"] == sale.number
    assert sale in review(told.customer).papers
    with django_capture_on_commit_callbacks(execute=True):
        customer_erase(customer=told.customer, by=None)
    assert words["name"] in Invoice.objects.get(pk=sale.pk).buyer["name"]
    later = timezone.now().replace(year=timezone.now().year + 11, month=2, day=2)
    erase_due(told.shop, later)
    finish()
    assert Invoice.objects.get(pk=sale.pk).buyer == {}
    assert named(words) == set()


def test_an_emptied_electronic_invoice_is_still_a_paper(told: Ticket) -> None:
    invoice = Invoice.objects.get()
    Invoice.objects.filter(pk=invoice.pk).update(buyer={})
    invoice.refresh_from_db()
    assert papers.invoice_pdf(invoice)[:5] == b"%PDF-"
