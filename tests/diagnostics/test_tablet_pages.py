"""What the bench's pages ask for by themselves, and what a tablet keeps of them."""

import json
import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from diagnostics import news
from diagnostics import services as bench
from diagnostics.models import Board
from shop.intake.models import Ticket
from shop.people.models import Person
from tests.diagnostics.conftest import Read, power_may_be_applied

pytestmark = pytest.mark.django_db


def asked(client: Client, name: str, job: Ticket, board: Board, **state: str) -> Any:
    url = reverse(f"diagnostics:{name}", args=[job.number, board.pk])
    return client.get(url, state)


def test_the_tablet_is_told_who_is_here_and_our_clock(
    at_bench: Client, ines: Person
) -> None:
    told = at_bench.get("/bench/tablet/").json()
    assert set(told) == {"person", "word", "now", "token"}
    assert told["person"] == ines.pk


def test_the_poll_is_quiet_while_nothing_happens_and_cheap(
    at_bench: Client,
    job: Ticket,
    board: Board,
    read: Read,
    django_assert_max_num_queries: Any,
) -> None:
    read("k04/leads", "0.2")
    seen = news.version_of(board)
    asked(at_bench, "live", job, board, seen=seen)
    with django_assert_max_num_queries(6):
        answer = asked(at_bench, "live", job, board, seen=seen)
    assert (answer.status_code, answer.content) == (204, b"")


def test_it_says_what_others_read_and_not_what_i_did(
    at_bench: Client, job: Ticket, board: Board, read: Read, sami: Person
) -> None:
    seen = news.version_of(board)
    read("k04/leads", "0.2")
    page = asked(at_bench, "live", job, board, seen=seen).content.decode()
    assert "just now" not in page
    read("k03/main", "0.01", by=sami)
    page = asked(at_bench, "live", job, board, seen=seen).content.decode()
    assert "Sami Aalto read" in page
    assert 'id="ladder"' in page
    assert 'id="card"' not in page


def test_a_strike_is_news_too(
    job: Ticket, board: Board, read: Read, sami: Person
) -> None:
    reading = read("k04/leads", "0.2")
    seen = news.version_of(board)
    bench.reading_strike(reading=reading, by=sami)
    assert news.version_of(board) != seen


@pytest.mark.parametrize("seen", ["", "x-y", "-", "9" * 40])
def test_an_odd_version_gets_the_columns(
    at_bench: Client, job: Ticket, board: Board, seen: str
) -> None:
    assert asked(at_bench, "live", job, board, seen=seen).status_code == 200


def test_the_cards_are_those_of_the_page_and_say_what_holds_them_off(
    at_bench: Client, job: Ticket, board: Board, read: Read
) -> None:
    found = asked(at_bench, "cards", job, board, check="k04").json()
    cards = {card["point"]: card for card in found["cards"]}
    assert not cards["k04/leads"]["held"]
    assert "data-outbox" in cards["k04/leads"]["html"]
    assert cards["k06/main"]["held"]
    assert "k03" in cards["k06/main"]["gates"]
    assert "data-outbox" not in cards["k06/main"]["html"]
    power_may_be_applied(read)
    found = asked(at_bench, "cards", job, board, check="k04").json()
    cards = {card["point"]: card for card in found["cards"]}
    assert not cards["k06/main"]["held"]
    assert cards["k11/sb.33"]["is_read"]
    assert len(found["cards"]) <= 40


def test_a_card_has_both_the_condition_that_is_asked_and_the_entry(
    at_bench: Client, job: Ticket, board: Board, read: Read
) -> None:
    """Which of them is shown is the tablet's to say while the network is away."""
    power_may_be_applied(read, taken_at=timezone.now())
    found = asked(at_bench, "cards", job, board, check="k24").json()
    card = next(one for one in found["cards"] if one["check"] == "k24")
    assert found["stands"] == "U"
    assert card["condition"] in found["powers"]
    assert 'data-outbox="condition"' in card["html"]
    assert re.search(r'class="entry [^>]* hidden', card["html"])


def test_nothing_of_a_person_or_customer_is_kept_on_the_tablet(
    at_bench: Client, job: Ticket, board: Board, read: Read, ines: Person
) -> None:
    """[ASVS 14.3.3] Canaries wherever a customer or a form's token might stand."""
    job.customer.name = "Canary Customer"
    job.customer.phone_typed = "+00 555 0133"
    job.customer.save()
    read("k04/leads", "0.2", note="canary note")
    kept = asked(at_bench, "cards", job, board, check="k04").content.decode()
    kept += at_bench.get("/bench/away/").content.decode()
    page = asked(at_bench, "board", job, board, check="k04").content.decode()
    device = job.device.model
    assert device in page
    for canary in ("Canary", "555 0133", "canary note", device, ines.name):
        assert canary not in kept
    assert "csrfmiddlewaretoken" not in json.dumps(kept)


def test_the_page_for_then_is_the_same_for_everybody(
    client_of: Any, job: Ticket
) -> None:
    pages = [client_of(name).get("/bench/away/").content for name in ("ines", "sami")]
    assert pages[0] == pages[1]
