"""The sentence to read out: from plain facts to codes, and from codes to words."""

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import Any

import pytest

from shop.intake import read_out_words as words
from shop.intake.facts import Happened
from shop.intake.models import STAYS_HERE, ClosingKind, NoFixReason
from shop.intake.read_out import (
    LIKELY,
    SURE,
    Found,
    Known,
    Price,
    Said,
    found_by,
    keepable,
    kept,
    read_out,
)
from shop.intake.turn import Whose
from shop.records.kinds import Kind

pytestmark = pytest.mark.one_database
TODAY = date(2026, 12, 1)
AT = datetime(2026, 12, 1, tzinfo=UTC)
PRICE = Price(version=2, total=14800, cap=16280, valid_until=date(2026, 12, 3))
SHORT = Found(SURE, "p.cmain", "short")


def known(waits_for: str = "readings", whose: str = Whose.OURS, **more: Any) -> Known:
    facts = {"details": {}, "currency": "EUR", "device": "laptop", **more}
    return Known(today=TODAY, whose=whose, waits_for=waits_for, **facts)


def said(facts: Known) -> str:
    return " ".join(words.sentences(read_out(facts))).replace("\u00a0", " ")


def test_it_waits_for_a_part_as_the_telephone_should_say() -> None:
    facts = known(
        "parts",
        Whose.SUPPLIER,
        details={"count": 1, "due_on": "2026-12-01"},
        found=SHORT,
        promise=date(2026, 12, 3),
    )
    assert said(facts) == (
        "Your laptop waits for a part, due on Tuesday 1 December. "
        "We found the fault: the main supply has a short. "
        "We promised to be ready by Thursday 3 December."
    )
    late = replace(facts, today=date(2026, 12, 4))
    assert "was due on Tuesday 1 December and has not come yet" in said(late)
    assert "we are late, and we are sorry" in said(late)
    several = replace(facts, details={"count": 2, "due_on": "2026-12-01"})
    assert "waits for 2 parts; the first is due on Tuesday" in said(several)


def test_we_are_not_sorry_for_what_waits_for_them() -> None:
    over = known(
        "parked_customer",
        Whose.CUSTOMER,
        details={"because": "call_back"},
        promise=date(2026, 11, 1),
        promise_about="ready",
    )
    assert "sorry" not in said(over)
    assert "sorry" in said(replace(over, whose=Whose.OURS, waits_for="repair"))


def test_a_quote_is_told_with_its_cap_and_an_old_one_is_no_offer() -> None:
    facts = known(
        "answer_to_quote",
        Whose.CUSTOMER,
        price=PRICE,
        found=Found(LIKELY, "p.gfx", "joints_or_dead"),
        promise=date(2026, 12, 3),
    )
    assert said(facts) == (
        "Your laptop waits for your yes or no. "
        "Most likely, the graphics chip does not work. "
        "The repair would cost 148.00 EUR, never more than 162.80 EUR without asking "
        "you again; this price stands until Thursday 3 December."
    )
    assert said(replace(facts, today=date(2026, 12, 4))) == (
        "Your laptop is with us; we have had no yes or no from you. "
        "Most likely, the graphics chip does not work. "
        "Our price stood until Thursday 3 December; we can make you a new one."
    )


def test_more_was_found_until_its_quote_lies_with_the_customer() -> None:
    park = {"because": "found_more", "until": None}
    facts = known("parked_customer", Whose.CUSTOMER, details=park)
    assert "more than we had quoted" in said(facts)
    assert "never more than 162.80 EUR" in said(replace(facts, price=PRICE))


@pytest.mark.parametrize(
    ("due", "end"),
    [
        (9282, "92.82 EUR is to be paid."),
        (0, "Nothing is left to be paid."),
        (-500, "You get 5.00 EUR back from us."),
    ],
)
def test_ready_says_what_it_was_and_what_is_due(due: int, end: str) -> None:
    facts = known(
        "ready_not_told", Whose.HANDOVER, outcome="fixed", due=due, found=SHORT
    )
    assert said(facts) == (
        "Your laptop is repaired and ready to be collected. "
        f"This was the fault: the main supply had a short. {end}"
    )


def test_given_back_it_says_how_long_it_is_covered() -> None:
    facts = known(
        "nothing",
        Whose.NOBODY,
        outcome="fixed",
        found=SHORT,
        covered_until=date(2026, 12, 2),
        given_back=date(2026, 11, 30),
    )
    end = "until Wednesday 2 December 2026."
    assert said(facts) == (
        "Your laptop went back to you on Monday 30 November, repaired. "
        f"The repair is covered {end}"
    )
    assert f"was covered {end}" in said(replace(facts, today=date(2026, 12, 3)))


@pytest.mark.parametrize("way", sorted(STAYS_HERE))
def test_what_became_ours_is_not_said_to_have_gone_back(way: str) -> None:
    facts = known(
        "nothing",
        Whose.NOBODY,
        outcome="declined",
        given_back=date(2026, 11, 30),
        stays_how=way,
        covered_until=date(2027, 2, 28),
    )
    done = "sold to us" if way == "sold" else "left"
    assert done in said(facts)
    assert "Monday 30 November" in said(facts)
    assert "went back" not in said(facts)
    assert "covered" not in said(facts)


def test_every_end_has_its_own_words() -> None:
    for kind in ClosingKind.values:
        reasons = NoFixReason.values if kind == ClosingKind.NO_FIX else [""]
        for why in reasons:
            facts = known("ready_told", Whose.HANDOVER, outcome=kind, no_fix_reason=why)
            text = said(facts)
            assert text.startswith("Your laptop is "), (kind, why)
            assert f"ready_{kind}" in words.STANDS
        closed = said(known("nothing", Whose.NOBODY, outcome=kind))
        assert closed.startswith("Your laptop went back to you")


def test_every_step_of_a_ticket_has_its_words() -> None:
    """Those of the turn's own list, so that none is read out as nothing."""
    from shop.intake import words as counter_words

    ends = {"nothing", "ready_told", "ready_not_told"}
    steps = {*counter_words.STEPS, "repair", "give_back_unrepaired"} - ends
    for step in steps:
        assert said(known(step)).startswith("Your laptop"), step
    for party in counter_words.PARTIES:
        for because in counter_words.REASONS:
            facts = known(f"parked_{party}", details={"because": because})
            assert said(facts).startswith("Your laptop"), (party, because)


def test_a_struck_suspect_is_not_told_and_a_finding_is_sure() -> None:
    codes = {"part": "p.gfx", "mode": "joints_or_dead"}
    named = Happened(Kind.SUSPECT_NAMED, AT, codes)
    struck = Happened(Kind.SUSPECT_STRUCK, AT, codes)
    other = Happened(Kind.SUSPECT_STRUCK, AT, {"part": "p.cs", "mode": "dead"})
    found = Happened(Kind.FINDING_CONFIRMED, AT, {"part": "p.cmain", "mode": "short"})
    assert found_by([named, other]) == Found(LIKELY, "p.gfx", "joints_or_dead")
    assert found_by([named, struck]) is None
    assert found_by([named, found]) == SHORT
    nothing = Happened(Kind.FINDING_CONFIRMED, AT, {"cause": "not_found"})
    assert said(known(found=found_by([nothing]))).endswith("have not found it.")


def test_what_an_event_keeps_makes_the_same_sentences() -> None:
    facts = known("answer_to_quote", Whose.CUSTOMER, price=PRICE, found=SHORT)
    told = read_out(facts)
    codes, amounts = keepable(told)
    assert amounts == {"total": 14800, "cap": 16280}
    again = kept(codes, amounts)
    assert again is not None
    assert words.sentences(again) == words.sentences(told)
    assert kept({"channel": "phone"}, {}) is None


def test_a_code_of_a_later_version_is_left_out() -> None:
    later = Said(("readings", "sung"), {"device": "laptop"})
    assert words.sentences(Said(("parts",), {})) == [
        "Your device waits for a part, due on …."
    ]
    assert words.sentences(later) == words.sentences(
        Said(("readings",), {"device": "laptop"})
    )
