"""The page *Take one in*, as the front desk uses and misuses it."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from shop.intake import papers, queries
from shop.intake import services as intake
from shop.intake.models import Customer, Device, Ticket
from shop.people.models import Person
from shop.records.models import Event, Note
from tests.shop.intake.conftest import PAGE

Post = Callable[..., Any]


@pytest.fixture
def desk(client_of: Callable[[str], Client]) -> Client:
    return client_of("tomas")


def nothing_was_kept() -> bool:
    rows = (Customer, Device, Ticket, Event, Note)
    return not any(model.objects.exists() for model in rows)


def test_the_page_shows_its_sections_and_the_fee(desk: Client) -> None:
    page = desk.get("/counter/new/").content.decode()
    for head in (
        "Customer",
        "Device",
        "Fault as told",
        "First look",
        "Came with it",
        "Agreed",
    ):
        assert f">{head}</h2>" in page
    assert "35.00 EUR" in page
    assert "isolate first" in page
    assert "licensed disposal" in page


def test_one_is_taken_in(desk: Client, take_in: Post) -> None:
    answer = take_in(
        desk,
        liquid="yes",
        opened_before="unsure",
        things=["adapter", "pack"],
        other_thing="red pouch",
        pre_approved="120,00",
        goal="data_first",
        boot_test="yes",
    )
    ticket = Ticket.objects.get()
    assert (answer.status_code, answer["Location"]) == (302, f"/tickets/{ticket}/")
    assert ticket.customer.name == "Ada Pell"
    assert (ticket.liquid, ticket.dropped) == ("yes", "not_recorded")
    assert [str(t) for t in ticket.things.all()] == [
        "machine",
        "adapter",
        "battery pack",
        "red pouch",
    ]
    assert str(ticket.pre_approved) == "120.00"
    assert ticket.is_data_first
    assert [c.purpose for c in ticket.consents.all()] == ["boot_test"]


def test_take_in_and_print_leads_to_the_job_slip(desk: Client, take_in: Post) -> None:
    answer = take_in(desk, then="print")
    assert answer["Location"] == f"/tickets/{Ticket.objects.get()}/job-slip.pdf"


def test_the_first_word_is_in_the_shops_time(
    desk: Client, take_in: Post, tomas: Person
) -> None:
    shop = tomas.memberships.get().shop
    shop.time_zone = "Asia/Tokyo"
    shop.save()
    take_in(desk, promise="2099-10-15T12:00")
    promise = queries.turn_of(Ticket.objects.get(), timezone.now()).promise
    assert promise is not None
    assert promise.isoformat() == "2099-10-15T03:00:00+00:00"


def test_a_double_tap_takes_one_in_once(desk: Client, take_in: Post) -> None:
    first, second = take_in(desk), take_in(desk)
    assert Ticket.objects.count() == 1
    assert first["Location"] == second["Location"]


def test_the_same_key_with_another_page_is_refused(desk: Client, take_in: Post) -> None:
    take_in(desk)
    assert take_in(desk, name="Somebody Else").status_code == 422
    assert Ticket.objects.count() == 1


BAD = [
    ("name", "", "required"),
    ("name", "x" * 10_000, "at most 200 characters"),
    ("email", "no address", "valid email"),
    ("model", "", "required"),
    ("serial", "x" * 81, "at most 80 characters"),
    ("told", "", "Tick or write what the customer tells"),
    ("triage", "purple", "not one of the available"),
    ("signed", "by proxy", "not one of the available"),
    ("told", "x" * 5001, "at most 5000 characters"),
    ("liquid", "perhaps", "not one of the available"),
    ("things", "piano", "not one of the available"),
    ("pre_approved", "about a hundred", "a number such as"),
    ("pre_approved", "1,200", "At most 2 digits"),
    ("pre_approved", "-5", "below 0"),
    ("pre_approved", "120 USD", "Amounts here are in EUR"),
    ("promise", "soon", "valid date"),
    ("promise", "2020-01-01T12:00", "That moment is over"),
    ("name", "Ada\x00Pell", "Null characters"),
]


@pytest.mark.parametrize(("field", "typed", "said"), BAD)
def test_bad_input_is_said_in_words_and_changes_nothing(
    desk: Client, take_in: Post, field: str, typed: str, said: str
) -> None:
    answer = take_in(desk, **{field: typed})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert said in page
    assert nothing_was_kept()
    kept = PAGE["told"] if field == "name" else PAGE["name"]
    assert kept in page, "what was typed is kept"


def test_a_name_of_ten_thousand_characters_is_shown_again(
    desk: Client, take_in: Post
) -> None:
    assert "x" * 10_000 in take_in(desk, name="x" * 10_000).content.decode()


def test_after_a_refusal_the_same_key_takes_it_in(desk: Client, take_in: Post) -> None:
    assert take_in(desk, model="").status_code == 422
    assert take_in(desk).status_code == 302
    assert Ticket.objects.count() == 1


@pytest.mark.parametrize(
    "text",
    [
        "<script>alert(1)</script>",
        "file:///etc/passwd",
        'http://192.0.2.7/x.png"><img src=//192.0.2.7/y>',
        "ליאור 😀 \u202eabc",
    ],
)
def test_hostile_and_foreign_text_is_only_text(
    desk: Client, take_in: Post, text: str
) -> None:
    answer = take_in(desk, name=text, told=text, model="")
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "<script>alert" not in page
    assert "<img src=//" not in page
    assert take_in(desk, name=text, told=text).status_code == 302
    assert Customer.objects.get().name == text


def test_without_a_key_nothing_is_done(desk: Client) -> None:
    assert desk.post("/counter/new/", PAGE).status_code == 400
    assert nothing_was_kept()


@pytest.fixture
def ada(take_in: Post, desk: Client) -> Customer:
    take_in(desk, key="ada")
    return Customer.objects.get()


def test_a_returning_customer_is_offered_while_typing(
    desk: Client, ada: Customer
) -> None:
    url = "/counter/customers/?name=ada&phone="
    offers = desk.get(url, headers={"hx-request": "true"}).content.decode()
    assert f"?customer={ada.pk}" in offers
    assert "<html" not in offers


def test_without_script_the_page_offers_them(desk: Client, ada: Customer) -> None:
    answer = desk.get("/counter/customers/?name=ada")
    assert answer["Location"] == "/counter/new/?look=ada"
    assert f"?customer={ada.pk}" in desk.get(answer["Location"]).content.decode()


def test_the_chosen_one_fills_customer_and_device(desk: Client, ada: Customer) -> None:
    page = desk.get(f"/counter/new/?customer={ada.pk}").content.decode()
    assert "Ada Pell was here in" in page
    assert 'value="R7-4402-118C"' in page
    url = f"/counter/customers/?customer={ada.pk}&model="
    fragment = desk.get(url, headers={"hx-request": "true"}).content.decode()
    assert 'value="Ada Pell"' in fragment
    assert 'hx-swap-oob="true"' in fragment
    typed = desk.get(f"{url}Helm", headers={"hx-request": "true"}).content.decode()
    assert "hx-swap-oob" not in typed, "a device typed already is left alone"


def test_a_returning_customer_and_device_stay_one(
    desk: Client, take_in: Post, ada: Customer
) -> None:
    answer = take_in(
        desk, key="2", customer=ada.pk, version=1, phone="+44 20 7946 0958"
    )
    assert answer.status_code == 302
    assert Customer.objects.get().phone_e164 == "+442079460958"
    assert (Device.objects.count(), Ticket.objects.count()) == (1, 2)


def test_a_customer_saved_by_somebody_else_shows_both(
    desk: Client, take_in: Post, ada: Customer, ines: Person
) -> None:
    intake.customer_change(customer=ada, by=ines, version=1, name="Ada Pell-Quist")
    fields = {"customer": ada.pk, "version": 1, "name": "A. Pell", "key": "2"}
    answer = take_in(desk, **fields)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Ada Pell-Quist" in page
    assert 'value="A. Pell"' in page
    assert 'name="version" value="2"' in page, "sent again, mine takes the place"
    assert Ticket.objects.count() == 1
    assert take_in(desk, **(fields | {"version": 2})).status_code == 302


@pytest.mark.parametrize("customer", ["999", "x", "-1", "9" * 30, "٣"])
def test_a_customer_who_is_not_there_is_not_found(
    desk: Client, take_in: Post, customer: str
) -> None:
    assert take_in(desk, customer=customer).status_code == 404
    assert nothing_was_kept()


def test_another_shops_customer_is_not_found(
    client_elsewhere: Client, ada: Customer
) -> None:
    assert client_elsewhere.get(f"/counter/new/?customer={ada.pk}").status_code == 404
    assert client_elsewhere.get(f"/counter/customers/{ada.pk}/").status_code == 404


@pytest.mark.parametrize(
    ("person", "status"), [("marit", 200), ("tomas", 200), ("ines", 403)]
)
def test_front_desk_and_owner_take_in(
    client_of: Callable[[str], Client], person: str, status: int
) -> None:
    assert client_of(person).get("/counter/new/").status_code == status


def test_reassembly_is_agreed_with_its_price(desk: Client, take_in: Post) -> None:
    """domain.md 8: declined, the board is returned re-assembled: say who pays."""
    for fields in ({"reassembly": "yes"}, {"reassembly_price": "20"}):
        assert take_in(desk, key=str(fields)[:20], **fields).status_code == 422
    take_in(desk, key="3", reassembly="yes", reassembly_price="20")
    ticket = Ticket.objects.get()
    assert str(ticket.reassembly_price) == "20.00"
    assert "put together again for <b>20.00 EUR</b>" in papers.job_slip_html(ticket)
