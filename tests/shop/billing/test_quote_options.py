"""Options of a quote, and what is said and offered once it ran out."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from shop.billing import drafts, papers, queries
from shop.billing import services as billing
from shop.billing.models import Quote, QuoteAnswer
from shop.billing.services import Option
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused
from tests.shop.billing.conftest import OPENED, a_line, euro

Act = Callable[..., Any]


@pytest.fixture
def ways(job: Ticket, ines: Person) -> list[Quote]:
    """A repair, B data only; the diagnosis is common to both."""
    billing.quote_send(
        ticket=job,
        by=ines,
        at=OPENED + timedelta(hours=2),
        lines=[a_line("35.00", text="Diagnosis")],
        options=[
            Option("Repair", [a_line("100.00")]),
            Option("Data only", [a_line("50.00", text="Data", code="fixed")]),
        ],
    )
    return list(job.quotes.order_by("option"))


def test_each_option_has_its_own_sums_and_cap(ways: list[Quote]) -> None:
    said = [(one.name, one.total, one.cap) for one in ways]
    assert said == [
        ("1 A", euro("162.00"), euro("178.20")),  # 135.00 and 20 %, and 10 % on it
        ("1 B", euro("102.00"), euro("112.20")),
    ]


def test_a_yes_to_one_is_no_yes_to_another(
    ways: list[Quote], job: Ticket, answer: Act
) -> None:
    answer(ways[1], is_yes=True)
    with pytest.raises(Refused, match="Already answered: yes to option B"):
        answer(ways[0], is_yes=True)
    state = queries.quote_state(job)
    assert (state.accepted, state.newest, state.open) == (ways[1], ways[1], ())
    assert queries.agreed(job).cap == euro("112.20")
    assert "fixed" in [line.code for line in queries.work_lines(job)]


def test_the_database_keeps_one_answer_a_version(
    ways: list[Quote], answer: Act
) -> None:
    first = answer(ways[0], is_yes=True)
    with pytest.raises(IntegrityError), transaction.atomic():
        QuoteAnswer.objects.create(
            quote=ways[1],
            of_version=first.of_version,
            is_yes=True,
            answered_by="Ada Pell",
            channel="phone",
            total_minor=1,
        )


def test_a_no_is_to_all_of_them(ways: list[Quote], job: Ticket, answer: Act) -> None:
    answer(ways[0], is_yes=False)
    assert queries.quote_state(job).is_declined
    with pytest.raises(Refused, match="Already answered: no"):
        answer(ways[1], is_yes=True)


def test_one_option_or_one_without_a_title_is_refused(
    job: Ticket, ines: Person
) -> None:
    for options in ([Option("A", [a_line()])], [Option("A", []), Option(" ", [])]):
        with pytest.raises(Refused):
            billing.quote_send(
                ticket=job, by=ines, lines=[a_line()], options=options, at=OPENED
            )


def test_the_counter_says_yes_to_one_and_the_paper_shows_all(
    ways: list[Quote], job: Ticket, client_of: Callable[[str], Client]
) -> None:
    html = papers.quote_html(ways[1])
    assert html.index("A. Repair") < html.index("B. Data only")
    client = client_of("tomas")
    page = client.get(reverse("billing:quote", args=[job.number, 1])).content.decode()
    assert "It was valid until" in page  # of March, and it is later now
    assert "Keep answer" not in page


def test_an_expired_quote_is_offered_again_with_its_options(
    ways: list[Quote], job: Ticket
) -> None:
    later = OPENED + timedelta(days=30)
    start = drafts.start_of(job, later)
    assert start.expired == ways[0]
    told = [
        (line.text, letter)
        for line, letter in zip(start.lines, start.letters, strict=True)
    ]
    assert told == [("Diagnosis", ""), ("Repair", "A"), ("Data", "B")]
    assert start.titles == {"A": "Repair", "B": "Data only"}


def test_the_next_version_starts_from_the_options_that_lie_with_the_customer(
    ways: list[Quote], job: Ticket
) -> None:
    start = drafts.start_of(job, OPENED + timedelta(hours=3))
    assert (start.before, start.expired) == (ways[0], None)
    assert list(start.letters) == ["", "A", "B"]


def test_the_next_version_starts_from_what_is_agreed_and_what_was_done(
    job: Ticket, send: Act, answer: Act, work: Act
) -> None:
    """A part was quoted, 20 minutes were worked: both are in it."""
    part = a_line("10.24", code="part", text="Controller")
    answer(send(lines=[a_line("35.00", code="fee"), part]), is_yes=True)
    work(job, "repair", 20)
    start = drafts.start_of(job, OPENED + timedelta(hours=3))
    assert start.before == job.quotes.get()
    codes = [line.code for line in start.lines]
    assert {"fee", "part", "labour.repair"} <= set(codes)


def test_after_a_no_the_next_version_starts_from_the_work(
    job: Ticket, send: Act, answer: Act
) -> None:
    answer(send(lines=[a_line("10.24", code="part")]), is_yes=False)
    start = drafts.start_of(job, OPENED + timedelta(hours=3))
    assert start.before is None
    assert "part" not in [line.code for line in start.lines]


def typed_lines(rows: list[dict[str, str]]) -> dict[str, str]:
    data = {"line-TOTAL_FORMS": str(len(rows)), "line-INITIAL_FORMS": "0"}
    for number, row in enumerate(rows):
        data |= {f"line-{number}-{name}": value for name, value in row.items()}
    return data | {"idempotency_key": uuid4().hex}


def test_options_and_risks_are_typed(
    job: Ticket, client_of: Callable[[str], Client]
) -> None:
    client = client_of("ines")
    data = typed_lines(
        [
            {"text": "Repair", "unit_price": "100", "option": "A"},
            {"text": "Data", "unit_price": "50", "option": "B"},
        ]
    )
    data |= {"option_a": "Repair", "risks": "liquid", "risk": "Screws may strip."}
    url = reverse("billing:quote_new", args=[job.number])
    refused = client.post(url, data)
    assert refused.status_code == 422
    assert "Say what each option is." in refused.content.decode()
    again = data | {"option_b": "Data only", "idempotency_key": uuid4().hex}
    assert client.post(url, again).status_code == 302
    first = job.quotes.get(option="A")
    assert first.risk.startswith("After liquid a second fault can show weeks later")
    assert first.risk.endswith("Screws may strip.")
    answer = reverse("billing:quote_answer", args=[job.number, 1])
    said = {"answered_by": "Ada", "channel": "phone", "idempotency_key": uuid4().hex}
    assert client.post(answer, said | {"is_yes": "C"}).status_code == 422
    said |= {"is_yes": "B", "idempotency_key": uuid4().hex}
    assert client.post(answer, said).status_code == 302
    accepted = queries.quote_state(job).accepted
    assert accepted is not None
    assert accepted.option_title == "Data only"
    assert accepted.valid_until > timezone.now().date()
