from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest

from shop.billing import queries
from shop.billing.models import QuoteAnswer
from shop.intake.models import Ticket
from shop.records.errors import Refused
from shop.records.models import Event
from tests.shop.billing.conftest import OPENED, euro

Act = Callable[..., Any]


def test_a_yes_is_agreed_up_to_the_cap(send: Act, answer: Act, job: Ticket) -> None:
    kept = answer(send("100.00"), is_yes=True)
    assert kept.total_minor == 12000
    agreed = queries.agreed(job)
    assert (str(agreed.source), agreed.amount) == ("quote", euro("120.00"))
    assert agreed.cap == euro("132.00")
    assert Event.objects.get(kind="quote_accepted").codes["channel"] == "phone"


def test_a_no_leaves_the_diagnosis_fee(
    send: Act, answer: Act, work: Act, job: Ticket
) -> None:
    work(job, "diagnosis", 90)
    work(job, "repair", 60)
    answer(send("100.00"), is_yes=False, decline_reason="price")
    assert [line.code for line in queries.work_lines(job)] == ["fee"]
    agreed = queries.agreed(job)
    assert (str(agreed.source), agreed.cap, agreed.left) == (
        "fee",
        euro("42.00"),
        euro("0"),
    )


def test_the_first_answer_stands_and_the_second_is_told(send: Act, answer: Act) -> None:
    quote = send("100.00")
    answer(quote, is_yes=True)
    with pytest.raises(Refused, match="Already answered: yes, by Ada Pell, by phone"):
        answer(quote, is_yes=False, channel="slip_link", recorded_by=None)
    assert QuoteAnswer.objects.get().is_yes


def test_a_first_no_is_told_too(send: Act, answer: Act) -> None:
    quote = send("100.00")
    answer(quote, is_yes=False)
    with pytest.raises(Refused, match="Already answered: no, by Ada Pell, by phone"):
        answer(quote, is_yes=True)


def test_an_answer_to_a_replaced_quote_is_refused(send: Act, answer: Act) -> None:
    first, _second = send("100.00"), send("150.00")
    with pytest.raises(Refused, match="Quote 1 was replaced by quote 2"):
        answer(first, is_yes=True)


def test_an_answer_after_the_last_day_is_refused(send: Act, answer: Act) -> None:
    quote = send("100.00")
    answered_late = OPENED + timedelta(days=15)
    with pytest.raises(Refused, match="valid until"):
        answer(quote, is_yes=True, at=answered_late)
    assert answer(quote, is_yes=True, at=OPENED + timedelta(days=14)).is_yes


def test_a_declined_second_quote_leaves_the_first_yes(
    send: Act, answer: Act, job: Ticket
) -> None:
    answer(send("100.00"), is_yes=True)
    answer(send("200.00"), is_yes=False)
    assert queries.agreed(job).amount == euro("120.00")


def test_a_yes_after_a_no_counts(send: Act, answer: Act, job: Ticket) -> None:
    answer(send("200.00"), is_yes=False)
    answer(send("100.00"), is_yes=True)
    assert queries.agreed(job).amount == euro("120.00")


@pytest.mark.parametrize(
    ("words", "field"),
    [
        ({"answered_by": "  "}, "answered_by"),
        ({"channel": "pigeon"}, "channel"),
        ({"decline_reason": "price"}, "decline_reason"),
        ({"is_yes": False, "decline_reason": "moon"}, "decline_reason"),
    ],
)
def test_a_wrong_answer_is_refused(
    send: Act, answer: Act, words: dict[str, Any], field: str
) -> None:
    quote = send("100.00")
    with pytest.raises(Refused) as refusal:
        answer(quote, **({"is_yes": True} | words))
    assert refusal.value.field == field
    assert not QuoteAnswer.objects.exists()
