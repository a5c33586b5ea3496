"""The same request twice is done once."""

import uuid
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from shop.billing.models import Payment
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.models import KeptAnswer


def pay(client: Client, ticket: Ticket, key: str, amount: str = "5.00") -> int:
    url = reverse("billing:payment_take", args=[ticket.number])
    form = {"amount": amount, "method": "cash", "idempotency_key": key}
    return client.post(url, form).status_code


@pytest.fixture
def key() -> str:
    return str(uuid.uuid4())


@pytest.fixture
def desk(tomas: Person) -> Client:
    client = Client()
    client.force_login(tomas)
    return client


def test_the_same_key_gets_the_stored_answer(
    desk: Client, ticket: Ticket, key: str
) -> None:
    assert [pay(desk, ticket, key) for _again in range(3)] == [302, 302, 302]
    assert Payment.objects.count() == 1


def test_the_same_key_with_another_body_is_refused(
    desk: Client, ticket: Ticket, key: str
) -> None:
    pay(desk, ticket, key)
    assert pay(desk, ticket, key, amount="6.00") == 422
    assert Payment.objects.count() == 1


def test_the_same_key_of_another_person_is_refused(
    desk: Client, ticket: Ticket, key: str, marit: Person
) -> None:
    pay(desk, ticket, key)
    other = Client()
    other.force_login(marit)
    assert pay(other, ticket, key) == 422


def test_a_refused_form_may_be_sent_again_with_its_key(
    desk: Client, ticket: Ticket, key: str
) -> None:
    assert pay(desk, ticket, key, amount="nonsense") == 422
    assert not KeptAnswer.objects.exists()
    assert pay(desk, ticket, key) == 302


@pytest.mark.parametrize("key", ["", "short", "x" * 65])
def test_a_form_without_a_fit_key_changes_nothing(
    desk: Client, ticket: Ticket, key: str
) -> None:
    assert pay(desk, ticket, key) == 400
    assert not Payment.objects.exists()


def test_the_key_of_a_tablet_comes_in_a_header(
    desk: Client, ticket: Ticket, key: str
) -> None:
    url = reverse("billing:payment_take", args=[ticket.number])
    form = {"amount": "5.00", "method": "cash"}
    for _again in range(2):
        answer = desk.post(url, form, headers={"Idempotency-Key": key})
        assert answer.status_code == 302
    assert Payment.objects.count() == 1
    kept = KeptAnswer.objects.get()
    assert kept.headers["Location"] == ticket.get_absolute_url()
    assert kept.kept_at - ticket.opened_at < timedelta(minutes=5)
