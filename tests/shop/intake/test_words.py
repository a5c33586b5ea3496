"""Turns and events in words: every code has a sentence, none crashes."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from django.template import Context, Template

from shop.intake import event_words, words
from shop.intake.facts import Happened
from shop.intake.turn import PARTY, Whose, whose_turn
from shop.records.kinds import Kind
from shop.records.models import Event

AT = datetime(2026, 10, 14, 9, 10, tzinfo=UTC)


def said(kind: str, **more: Any) -> str:
    return event_words.happened(Event(kind=kind, at=AT, **more))


@pytest.mark.parametrize("kind", [k.value for k in Kind if k != "promise_made"])
def test_every_kind_of_event_has_words_even_bare(kind: str) -> None:
    assert kind in event_words.SAYINGS
    assert said(kind)


def test_a_kind_of_a_later_version_does_not_crash() -> None:
    assert said("moon_reached") == "Moon reached"


@pytest.mark.parametrize(
    ("event", "text"),
    [
        (
            {
                "kind": Kind.QUOTE_ACCEPTED,
                "ids": {"version": 1},
                "codes": {"currency": "EUR"},
                "amounts": {"total": 9282},
            },
            "Yes to quote 1, 92.82",
        ),
        (
            {
                "kind": Kind.CUSTOMER_TOLD,
                "codes": {"channel": "phone", "next_contact": "2026-10-20"},
            },
            "Told the customer by phone; next word on 20 October",
        ),
        (
            {
                "kind": Kind.PROMISE_MADE,
                "codes": {"promise": AT.isoformat(), "about": "first_word"},
            },
            "Promised a first word by 14 October, 09:10",
        ),
        (
            {
                "kind": Kind.PARKED,
                "codes": {
                    "waits_for": "resting",
                    "because": "drying",
                    "until": AT.isoformat(),
                },
            },
            "Parked, drying after cleaning, until 14 October, 09:10",
        ),
        (
            {
                "kind": Kind.OUTCOME_RECORDED,
                "codes": {"kind": "no_fix", "no_fix_reason": "no_part"},
            },
            "Ended: no fix, no part to be had",
        ),
        (
            {"kind": Kind.TIME_RECORDED, "codes": {"kind": "proof"}}
            | {"amounts": {"minutes": -15}},
            "Time taken back: proof, 15 min",
        ),
        (
            {"kind": Kind.PART_ORDERED, "codes": {"due_on": "2026-10-20"}},
            "Part ordered, due 20 October",
        ),
        (
            {"kind": Kind.PAYMENT_TAKEN, "codes": {"method": "card", "currency": "JPY"}}
            | {"amounts": {"amount": 4200}},
            "Paid by card, 4200",
        ),
        (
            {"kind": Kind.THING_MOVED, "ids": {"tag": 2}, "codes": {"place": "C4"}},
            "Thing 2 put at C4",
        ),
    ],
)
def test_an_event_is_said(event: dict[str, Any], text: str) -> None:
    assert said(**event) == text


def waits(*events: Happened) -> str:
    opened = Happened(Kind.TICKET_OPENED, AT)
    return words.waits_for(whose_turn([opened, *events], AT + timedelta(days=1)))


def test_what_a_ticket_waits_for_is_a_sentence() -> None:
    quote = Happened(Kind.QUOTE_SENT, AT, ids={"quote": 7, "version": 2})
    yes = Happened(Kind.QUOTE_ACCEPTED, AT, ids={"quote": 7, "version": 2})
    no = Happened(Kind.QUOTE_DECLINED, AT, ids={"quote": 7, "version": 2})
    due = {"due_on": "2026-10-20"}
    order = Happened(Kind.PART_ORDERED, AT, codes=due, ids={"order_line": 1})
    assert waits() == "board not named yet"
    assert waits(Happened(Kind.BOARD_JOINED, AT)) == "cold readings not started"
    assert waits(quote) == "answer to quote 2"
    assert waits(quote, yes) == "repair, as agreed in quote 2"
    assert waits(quote, no) == "no to quote 2: make ready as it came"
    assert waits(order) == "1 part on order, due 20 October"


@pytest.mark.parametrize("party", [*PARTY, "someone_new"])
def test_a_parked_ticket_says_for_whom_and_why(party: str) -> None:
    codes = {"waits_for": party, "because": "a_new_reason", "until": None}
    assert waits(Happened(Kind.PARKED, AT, codes=codes)).endswith("a new reason")


def test_every_step_of_ours_has_a_sentence() -> None:
    for kind in Kind:
        if kind != Kind.PROMISE_MADE:
            assert "_" not in waits(Happened(kind, AT))


@pytest.mark.parametrize("whose", [*Whose, "new_party"])
def test_every_party_has_a_name(whose: str) -> None:
    assert words.whose_word(whose)


@pytest.mark.parametrize(
    ("length", "text"),
    [
        (timedelta(days=13, hours=4), "13 days"),
        (timedelta(days=1), "1 day"),
        (timedelta(hours=4, minutes=50), "4 hours"),
        (timedelta(minutes=1), "1 minute"),
        (timedelta(0), "0 minutes"),
        (timedelta(seconds=-5), "0 minutes"),
    ],
)
def test_a_span_is_said_in_its_largest_unit(length: timedelta, text: str) -> None:
    assert words.span(length) == text


def test_the_filters_say_the_same() -> None:
    turn = whose_turn([Happened(Kind.TICKET_OPENED, AT)], AT + timedelta(days=2))
    template = Template(
        "{% load intake_words %}{{ turn.whose|whose_word }} {{ turn.part|part_word }}: "
        "{{ turn|waits_for_words }}, {{ turn.age|span_words }}, "
        "{{ turn.since|since_words:now }}; {{ event|happened_words }}"
    )
    context = {"turn": turn, "now": AT + timedelta(hours=3)}
    context["event"] = Event(kind=Kind.BOARD_TAKEN, at=AT)
    assert template.render(Context(context)) == (
        "Ours in the queue: Board not named yet, 2 days, 3 hours; Taken in hand"
    )
