"""What a quick intake leaves out: printed so, and asked by one tap each."""

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from shop.intake import arriving, papers, queries
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused
from tests.factories import TicketFactory
from tests.shop.intake.test_job_slip import words_of

Post = Callable[..., Any]
ClientOf = Callable[[str], Client]
HTMX = {"hx-request": "true"}


@pytest.fixture
def quick(tomas: Person) -> Ticket:
    return TicketFactory.create(by=tomas, intake_kind="quick", fee_agreed="yes")


def test_the_slip_says_what_is_not_recorded(quick: Ticket, ticket: Ticket) -> None:
    words = words_of(papers.job_slip_html(quick))
    assert "With it not recorded yet" in words
    assert "Not with it" not in words, "nobody looked yet"
    assert "Goal not recorded" in words
    assert "as a line; agreed" in words
    assert "agreed: not recorded" in words_of(papers.job_slip_html(ticket))


def test_each_tap_answers_one_and_asks_the_next(
    quick: Ticket, client_of: ClientOf, send: Post
) -> None:
    bench, url = client_of("ines"), f"/tickets/{quick}/answer/"
    for key, question in enumerate(arriving.questions_of(quick)):
        form = {"question": question.name, "answer": "yes", "back": "/bench/"}
        assert send(bench, url, key=str(key), **form)["Location"] == "/bench/"
    quick.refresh_from_db()
    assert arriving.questions_of(quick) == []
    assert (quick.liquid, quick.dropped, quick.opened_before) == ("yes",) * 3
    assert quick.consents.get().purpose == "boot_test"
    assert queries.turn_of(quick, timezone.now()).waits_for == "pack_first"
    page = bench.get(f"/tickets/{quick}/").content.decode()
    assert "still to be written" in page, "the intake itself is not over"


def test_the_row_is_drawn_with_the_next_question(
    quick: Ticket, client_of: ClientOf
) -> None:
    form = {"question": "hot_or_swollen", "answer": "no", "back": "/bench/"}
    key = {"idempotency_key": "0123456789abcdef-1"}
    url = f"/tickets/{quick}/answer/"
    row = client_of("ines").post(url, form | key, headers=HTMX).content.decode()
    assert "Liquid?" in row
    assert 'value="liquid"' in row
    assert 'name="back" value="/bench/"' in row
    assert key["idempotency_key"] not in row, "the next tap is another act"


def test_it_leads_nowhere_else(quick: Ticket, client_of: ClientOf, send: Post) -> None:
    away = {"question": "liquid", "answer": "no", "back": "https://evil.example/"}
    answer = send(client_of("ines"), f"/tickets/{quick}/answer/", **away)
    assert answer["Location"] == f"/tickets/{quick}/"


def test_the_first_answer_stands(quick: Ticket, ines: Person, tomas: Person) -> None:
    ask: dict[str, Any] = {"ticket": quick, "question": "liquid"}
    intake.intake_answer(by=ines, answer="yes", **ask)
    for wrong in (
        ask | {"answer": "no"},
        ask | {"question": "weight", "answer": "yes"},
        ask | {"question": "dropped", "answer": "perhaps"},
    ):
        with pytest.raises(Refused):
            intake.intake_answer(by=tomas, **wrong)
    quick.refresh_from_db()
    assert quick.liquid == "yes"
    intake.intake_finish(ticket=quick, by=tomas, answers={})
    with pytest.raises(Refused):
        intake.intake_answer(by=ines, ticket=quick, question="dropped", answer="no")


def test_what_triage_found_answers_its_question(
    client_of: ClientOf, take_in: Post
) -> None:
    desk = client_of("tomas")
    found = {"triage": ["swollen", "wet", "isolated"], "faults": ["dead", "spilled"]}
    take_in(desk, told="", marks=["dent"], condition="Left corner.", **found)
    ticket = Ticket.objects.get()
    assert (ticket.hot_or_swollen, ticket.liquid) == ("yes", "yes")
    words = words_of(papers.job_slip_html(ticket))
    assert "“Does nothing at all, Liquid went over it.”" in words
    assert "Dent. Left corner." in words
    assert "Found at the counter: swollen, wet, put apart already." in words
    assert queries.turn_of(ticket, timezone.now()).waits_for == "pack_first"


NUMBERS = ["call the porter", "+١٢٣٤٥", "☎ 00 00", "0" * 500, "+49 (0)30/1234-56x7"]


@pytest.mark.parametrize("phone", NUMBERS)
def test_no_intake_is_refused_over_a_phone_number(
    client_of: ClientOf, take_in: Post, phone: str
) -> None:
    assert take_in(client_of("tomas"), phone=phone).status_code == 302
    assert Ticket.objects.get().customer.phone_typed == phone[:200]
