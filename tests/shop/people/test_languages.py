"""Each reader's own language: the person's, the browser's before, the customer's."""

from collections.abc import Callable
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.utils import translation

from diagnostics.figures import show
from shop.billing import papers, work
from shop.billing import services as billing
from shop.intake import papers as intake_papers
from shop.intake.models import Customer, Ticket
from shop.money import Money
from shop.people.models import Person, Shop

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
Keyed = Callable[..., dict[str, Any]]
GERMAN = {"HTTP_ACCEPT_LANGUAGE": "de-AT,de;q=0.9"}


@pytest.fixture(autouse=True)
def no_language_is_left() -> Any:
    with translation.override("en"):
        yield


def page(client: Client, url: str, **more: Any) -> str:
    return client.get(url, **more).content.decode()


def test_before_the_sign_in_the_browser_says_the_language(
    hollin_lane: Shop, stranger: Client
) -> None:
    assert '<html lang="de">' in page(stranger, "/sign-in/", **GERMAN)
    assert "Anmelden" in page(stranger, "/sign-in/", **GERMAN)
    assert '<html lang="en">' in page(stranger, "/sign-in/", HTTP_ACCEPT_LANGUAGE="sw")


def test_a_person_reads_their_own_whatever_the_browser_says(
    tomas: Person, client_of: Callable[[str], Client]
) -> None:
    client = client_of("tomas")
    assert "Your settings" in page(client, "/me/", **GERMAN)
    tomas.language = "de"
    tomas.save()
    found = client.get("/me/", HTTP_ACCEPT_LANGUAGE="en")
    assert '<html lang="de">' in found.content.decode()
    assert found["Content-Language"] == "de"


def test_it_is_chosen_on_the_own_page_and_by_the_owner(
    ines: Person, client_of: Callable[[str], Client]
) -> None:
    from uuid import uuid4

    form = {"language": "de", "idempotency_key": str(uuid4())}
    assert client_of("ines").post("/me/", form).status_code == 302
    ines.refresh_from_db()
    assert ines.language == "de"
    form = {"language": "xx", "idempotency_key": str(uuid4())}
    assert client_of("ines").post("/me/", form).status_code == 422
    owner = client_of("marit")
    chosen: dict[str, Any] = {
        "roles": ["technician"],
        "language": "en",
        "idempotency_key": str(uuid4()),
    }
    assert owner.post(f"/people/{ines.pk}/", chosen).status_code == 302
    ines.refresh_from_db()
    assert ines.language == "en"


def test_what_the_process_keeps_is_kept_for_each_language(
    ticket: Ticket, client_of: Callable[[str], Client]
) -> None:
    """The day list keeps its rows as they were drawn."""
    english = page(client_of("tomas"), "/counter/")
    Person.objects.filter(username="tomas").update(language="de")
    german = page(client_of("tomas"), "/counter/")
    assert "in the queue" in english
    assert "in the queue" not in german


# --- customers ----------------------------------------------------------------------


@pytest.fixture
def german_customer(ticket: Ticket) -> Ticket:
    Customer.objects.filter(pk=ticket.customer_id).update(language="de")
    return Ticket.objects.get(pk=ticket.pk)


def test_papers_speak_to_the_customer_and_stay_as_they_were_sent(
    german_customer: Ticket, tomas: Person
) -> None:
    ticket = german_customer
    prices = work.Prices.of(ticket, ticket.opened_at)
    assert [line.text for line in work.fee_lines(ticket, prices)] == [
        "Diagnose, wie vereinbart"
    ]
    slip = intake_papers.job_slip_html(ticket)
    assert "Agreed" in slip, "made out while the customer spoke English"
    quote = billing.quote_send(
        ticket=ticket, by=tomas, lines=work.fee_lines(ticket, prices)
    )
    Customer.objects.update(language="en")
    sent = papers.quote_html(type(quote).objects.get(pk=quote.pk))
    assert "Angebot 1" in sent
    assert "35,00" in sent


def test_a_new_customer_speaks_what_the_shop_s_customers_speak(
    hollin_lane: Shop, marit: Person
) -> None:
    from shop.intake.services import customer_keep

    hollin_lane.languages = "de en"
    assert customer_keep(shop=hollin_lane, by=marit, name="Ute").language == "de"


@pytest.mark.parametrize(("languages", "is_asked"), [("de en", True), ("de", False)])
def test_the_intake_asks_where_there_is_more_than_one(
    languages: str, is_asked: bool, client_of: Callable[[str], Client]
) -> None:
    Shop.objects.update(languages=languages)
    assert ('name="language"' in page(client_of("tomas"), "/counter/new/")) is is_asked


# --- figures ------------------------------------------------------------------------


def test_figures_have_the_reader_s_decimal_mark() -> None:
    money = Money.of(Decimal("184.5"), "EUR")
    assert (str(money), show(3470.0, "ohm")) == ("184.50", "3.47\N{NO-BREAK SPACE}kΩ")
    with translation.override("de"):
        assert str(money) == "184,50"
        assert show(3470.0, "ohm") == "3,47\N{NO-BREAK SPACE}kΩ"
        assert str(money.amount) == "184.50"
