"""The ticket page, issuing the invoice from it, finding a ticket."""

import uuid
from collections.abc import Callable

import pytest
from django.test import Client
from django.urls import reverse

from shop.billing.models import Invoice
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.people.models import Person

ClientOf = Callable[[str], Client]


def keyed() -> dict[str, str]:
    return {"idempotency_key": str(uuid.uuid4())}


@pytest.mark.django_db
def test_it_shows_story_turn_bench_and_money(
    worked_ticket: Ticket, client_of: ClientOf
) -> None:
    page = client_of("tomas").get(worked_ticket.get_absolute_url()).content.decode()
    for words in ("Told", "Whose turn", "Power ladder", "Money", "What happened"):
        assert words in page


@pytest.mark.django_db
def test_a_double_tap_issues_one_invoice(ticket: Ticket, client_of: ClientOf) -> None:
    url = reverse("desk:invoice_issue", args=[ticket.number])
    form = keyed()
    client = client_of("tomas")
    answers = [client.post(url, form) for _tap in range(2)]
    assert [a.status_code for a in answers] == [302, 302]
    assert Invoice.objects.filter(ticket=ticket).count() == 1


@pytest.mark.django_db
def test_a_second_invoice_is_refused_in_words(
    worked_ticket: Ticket, client_of: ClientOf
) -> None:
    url = reverse("desk:invoice_issue", args=[worked_ticket.number])
    answer = client_of("tomas").post(url, keyed())
    assert answer.status_code == 422
    assert "error-summary" in answer.content.decode()
    assert worked_ticket.invoices.count() == 1


@pytest.mark.django_db
def test_no_invoice_without_its_key(ticket: Ticket, client_of: ClientOf) -> None:
    url = reverse("desk:invoice_issue", args=[ticket.number])
    assert client_of("tomas").post(url).status_code == 400
    assert not ticket.invoices.exists()


@pytest.mark.django_db
def test_one_hit_opens_the_ticket(ticket: Ticket, client_of: ClientOf) -> None:
    answer = client_of("ines").get("/find/", {"q": ticket.number})
    assert answer["Location"] == ticket.get_absolute_url()


@pytest.mark.django_db
def test_a_mistyped_number_is_said_and_near_ones_offered(
    ticket: Ticket, client_of: ClientOf
) -> None:
    slip = ticket.number[:-1] + str((int(ticket.number[-1]) + 1) % 10)
    page = client_of("ines").get("/find/", {"q": slip}).content.decode()
    assert "slip of the finger" in page
    assert ticket.get_absolute_url() in page


@pytest.mark.django_db
def test_no_hit_says_what_to_try(client_of: ClientOf) -> None:
    page = client_of("ines").get("/find/", {"q": "nobody at all"})
    assert "Nothing found" in page.content.decode()


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("person", "page"),
    [("tomas", "/counter/"), ("ines", "/bench/"), ("marit", "/office/")],
)
def test_each_person_starts_in_their_own_place(
    person: str, page: str, client_of: ClientOf
) -> None:
    assert client_of(person).get("/")["Location"] == page


@pytest.mark.django_db
def test_a_person_without_a_role_is_told_whom_to_ask(client_of: ClientOf) -> None:
    answer = client_of("nobody").get("/")
    assert answer.status_code == 403
    assert "Ask the owner" in answer.content.decode()


@pytest.mark.django_db
def test_markup_in_a_customers_name_stays_text(
    tomas: Person, ticket: Ticket, client_of: ClientOf
) -> None:
    hostile = "<script>alert(1)</script>{{ 7|add:7 }}"
    customer = ticket.customer
    intake.customer_change(
        customer=customer, by=tomas, version=customer.version, name=hostile
    )
    page = client_of("tomas").get(ticket.get_absolute_url()).content.decode()
    assert "<script>alert" not in page
    assert "&lt;script&gt;" in page
    assert "{{ 7|add:7 }}" in page
