"""Whose turn it is: by example, and by the laws that every history obeys."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.intake.facts import Happened
from shop.intake.turn import PARTY, Turn, Whose, whose_turn
from shop.records.kinds import Kind

START = datetime(2026, 10, 5, 9, 0, tzinfo=UTC)
DAY = timedelta(days=1)


def on(day: float, kind: Kind, **more: Any) -> Happened:
    ids: dict[str, Any] = {
        k: more.pop(k) for k in ("quote", "version", "order_line") if k in more
    }
    fields = {k: more.pop(k) for k in ("board_id", "person_id") if k in more}
    return Happened(kind, START + day * DAY, codes=more, ids=ids, **fields)


def turn(*events: Happened, after: float = 10) -> Turn:
    return whose_turn([on(0, Kind.TICKET_OPENED), *events], START + after * DAY)


def strip(turn: Turn) -> list[tuple[str, str, float]]:
    return [(p.whose, p.part, p.length / DAY) for p in turn.pieces]


def test_a_new_ticket_is_ours_in_the_queue() -> None:
    new = turn(after=2)
    assert (new.whose, new.part, new.waits_for) == ("ours", "queue", "board_not_named")
    assert strip(new) == [("ours", "queue", 2)]
    assert new.age == 2 * DAY


def test_a_joined_board_waits_for_its_cold_readings() -> None:
    assert turn(on(1, Kind.BOARD_JOINED)).waits_for == "cold_not_started"


def test_a_swollen_pack_comes_before_the_board() -> None:
    opened = Happened(Kind.TICKET_OPENED, START, codes={"hot_or_swollen": "yes"})
    joined = on(1, Kind.BOARD_JOINED)
    assert whose_turn([opened, joined], START + DAY).waits_for == "pack_first"


def test_a_taken_board_is_in_hands_until_put_down() -> None:
    taken = on(1, Kind.BOARD_TAKEN, board_id=7, person_id=3)
    down = on(1.5, Kind.BOARD_PUT_DOWN, board_id=7, person_id=3)
    held = turn(taken, after=1.25)
    assert (held.part, held.held_by, held.waits_for) == ("in_hands", 3, "readings")
    assert strip(turn(taken, down, after=2)) == [
        ("ours", "queue", 1),
        ("ours", "in_hands", 0.5),
        ("ours", "queue", 0.5),
    ]


def test_one_person_has_one_board_in_hands() -> None:
    first = on(1, Kind.BOARD_TAKEN, board_id=7, person_id=3)
    other = on(2, Kind.BOARD_TAKEN, board_id=8, person_id=3)
    down = on(3, Kind.BOARD_PUT_DOWN, board_id=8, person_id=3)
    assert turn(first, other, down).part == "queue"


def test_an_unanswered_quote_is_the_customers_turn() -> None:
    asked = turn(on(1, Kind.QUOTE_SENT, quote=5, version=1))
    assert (asked.whose, asked.waits_for) == (Whose.CUSTOMER, "answer_to_quote")
    assert asked.details["version"] == 1
    assert asked.since == START + DAY


@pytest.mark.parametrize(
    ("answer", "step"),
    [
        (Kind.QUOTE_ACCEPTED, "repair"),
        (Kind.QUOTE_DECLINED, "give_back_unrepaired"),
    ],
)
def test_an_answer_makes_it_ours_again(answer: Kind, step: str) -> None:
    sent = on(1, Kind.QUOTE_SENT, quote=5, version=1)
    answered = turn(sent, on(3, answer, quote=5, version=1), after=4)
    assert (answered.whose, answered.waits_for) == (Whose.OURS, step)
    assert strip(answered)[1] == ("customer", "", 2)


def test_an_answer_to_the_old_quote_leaves_the_new_one_open() -> None:
    first = on(1, Kind.QUOTE_SENT, quote=5, version=1)
    second = on(2, Kind.QUOTE_SENT, quote=6, version=2)
    late_no = on(3, Kind.QUOTE_DECLINED, quote=5, version=1)
    assert turn(first, second, late_no).details["version"] == 2


def test_a_new_price_asked_for_is_ours_even_while_a_part_is_on_its_way() -> None:
    sent = on(1, Kind.QUOTE_SENT, quote=5, version=1)
    ordered = on(2, Kind.PART_ORDERED, order_line=1, due_on="2026-10-12")
    asked = on(3, Kind.NEW_PRICE_ASKED, quote=5, version=1)
    ours = turn(sent, ordered, asked)
    assert (ours.whose, ours.waits_for) == (Whose.OURS, "new_price_asked")
    arrived = on(4, Kind.PART_ARRIVED, order_line=1)
    assert turn(sent, ordered, asked, arrived).waits_for == "new_price_asked"
    again = on(4, Kind.QUOTE_SENT, quote=6, version=2)
    assert turn(sent, ordered, asked, again).waits_for == "answer_to_quote"


def test_parts_are_a_suppliers_turn_until_the_last_arrives() -> None:
    first = on(1, Kind.PART_ORDERED, order_line=1, due_on="2026-10-12")
    second = on(1, Kind.PART_ORDERED, order_line=2, due_on="2026-10-09")
    one_here = on(2, Kind.PART_ARRIVED, order_line=1)
    all_here = on(3, Kind.PART_ARRIVED, order_line=2)
    waiting = turn(first, second)
    assert waiting.whose == Whose.SUPPLIER
    assert waiting.details == {"count": 2, "due_on": "2026-10-09"}
    assert turn(first, second, one_here).whose == Whose.SUPPLIER
    assert turn(first, second, one_here, all_here).waits_for == "part_here"


def test_a_finding_asks_for_a_quote_unless_a_yes_is_there() -> None:
    finding = on(2, Kind.FINDING_CONFIRMED)
    yes = on(1, Kind.QUOTE_ACCEPTED, quote=1, version=1)
    assert turn(finding).waits_for == "quote_to_write"
    assert turn(yes, finding).waits_for == "proof"
    agreed = Happened(Kind.TICKET_OPENED, START, codes={"is_pre_approved": True})
    assert whose_turn([agreed, finding], START + 3 * DAY).waits_for == "proof"


@pytest.mark.parametrize("ending", [Kind.OUTCOME_RECORDED, Kind.INVOICE_ISSUED])
def test_an_ended_ticket_is_the_handovers(ending: Kind) -> None:
    assert turn(on(3, ending)).whose == Whose.HANDOVER


def test_ready_says_whether_the_customer_knows() -> None:
    ended, told = on(3, Kind.OUTCOME_RECORDED), on(4, Kind.CUSTOMER_TOLD)
    assert turn(ended).waits_for == "ready_not_told"
    assert turn(ended, told).waits_for == "ready_told"
    assert turn(on(2, Kind.CUSTOMER_TOLD), ended).waits_for == "ready_not_told"


def test_a_credited_invoice_takes_the_handover_back() -> None:
    billed, credited = on(3, Kind.INVOICE_ISSUED), on(4, Kind.CREDIT_NOTE_ISSUED)
    assert turn(billed, credited).whose == Whose.OURS


@pytest.mark.parametrize("party", PARTY)
def test_a_parked_ticket_is_its_partys_turn(party: str) -> None:
    parked = turn(on(1, Kind.PARKED, waits_for=party, because="drying", until=None))
    assert parked.whose == PARTY[party]
    assert parked.part == ("parked" if parked.whose == Whose.OURS else "")
    assert parked.waits_for == f"parked_{party}"


def test_a_park_ends_itself() -> None:
    until = (START + 3 * DAY).isoformat()
    parked = on(1, Kind.PARKED, waits_for="resting", because="drying", until=until)
    assert strip(turn(parked, after=5)) == [
        ("ours", "queue", 1),
        ("ours", "parked", 2),
        ("ours", "queue", 2),
    ]
    assert turn(parked, after=2).part == "parked"
    assert turn(parked, on(4, Kind.BOARD_JOINED), after=5).part == "queue"


def test_a_park_ends_when_somebody_takes_the_board_or_says_so() -> None:
    parked = on(1, Kind.PARKED, waits_for="owner", because="price", until=None)
    assert turn(parked, on(2, Kind.UNPARKED)).part == "queue"
    assert turn(parked, on(2, Kind.BOARD_TAKEN, board_id=1, person_id=1)).part == (
        "in_hands"
    )


def test_a_closed_ticket_is_nobodys_and_stops_ageing() -> None:
    closed = turn(on(4, Kind.TICKET_CLOSED), on(6, Kind.PAYMENT_TAKEN), after=9)
    assert (closed.whose, closed.waits_for) == (Whose.NOBODY, "nothing")
    assert closed.age == 4 * DAY
    assert closed.since == START + 4 * DAY


def test_a_first_word_is_kept_by_speaking_and_a_ready_by_being_ready() -> None:
    when = (START + 2 * DAY).isoformat()
    word = on(0, Kind.PROMISE_MADE, promise=when, about="first_word")
    ready = on(0, Kind.PROMISE_MADE, promise=when, about="ready")
    told, ended = on(1, Kind.CUSTOMER_TOLD), on(1, Kind.OUTCOME_RECORDED)
    assert turn(word).promise == START + 2 * DAY
    assert turn(word, told).is_promise_kept
    assert not turn(ready, told).is_promise_kept
    assert turn(ready, told, ended).promise is None


def test_silence_counts_from_the_last_word() -> None:
    told = on(2, Kind.CUSTOMER_TOLD, next_contact="2026-10-09")
    assert turn(told).silent_since == START + 2 * DAY
    assert str(turn(told).next_contact) == "2026-10-09"
    assert turn(on(2, Kind.BOARD_JOINED)).silent_since == START


def test_an_answer_stamped_before_its_quote_still_answers_it() -> None:
    """The tablet's clock went back between the two."""
    sent = on(2, Kind.QUOTE_SENT, quote=5, version=1)
    yes = on(1.9, Kind.QUOTE_ACCEPTED, quote=5, version=1)
    assert turn(sent, yes, after=3).whose == Whose.OURS


def test_of_two_events_at_one_time_the_later_written_decides() -> None:
    down = on(1, Kind.BOARD_PUT_DOWN, board_id=1, person_id=1)
    taken = on(1, Kind.BOARD_TAKEN, board_id=1, person_id=1)
    assert turn(down, taken).part == "in_hands"
    assert turn(taken, down).part == "queue"


def test_no_event_at_all_is_refused() -> None:
    with pytest.raises(ValueError, match="opened"):
        whose_turn([], START)


FREE_KINDS = [k for k in Kind if k not in {Kind.TICKET_OPENED, Kind.PROMISE_MADE}]
small = st.integers(1, 3)
histories = st.lists(
    st.builds(
        lambda kind, minutes, number, until, party: Happened(
            kind,
            START + timedelta(minutes=minutes),
            codes={
                "waits_for": party,
                "because": "drying",
                "until": until and (START + timedelta(minutes=until)).isoformat(),
            },
            ids={"quote": number, "version": number, "order_line": number},
            board_id=number,
            person_id=number % 2,
        ),
        st.sampled_from(FREE_KINDS),
        st.integers(-500, 5000),
        small,
        st.none() | st.integers(-500, 6000),
        st.sampled_from([*PARTY, "someone_new"]),
    ),
    max_size=25,
)
moments = st.integers(-100, 6000).map(lambda m: START + timedelta(minutes=m))


@given(histories, moments)
def test_pieces_are_contiguous_and_add_up_to_the_age(
    events: list[Happened], now: datetime
) -> None:
    whole = whose_turn([on(0, Kind.TICKET_OPENED), *events], now)
    lengths = [piece.length for piece in whole.pieces]
    assert sum(lengths, timedelta()) == whole.age >= timedelta()
    assert all(length > timedelta() for length in lengths)
    for before, after in zip(whole.pieces, whole.pieces[1:], strict=False):
        assert before.end == after.start
        assert (before.whose, before.part) != (after.whose, after.part)


@given(histories, moments)
def test_a_closed_ticket_stays_closed(events: list[Happened], now: datetime) -> None:
    history = [on(0, Kind.TICKET_OPENED), on(1, Kind.TICKET_CLOSED), *events]
    assert whose_turn(history, now).whose == Whose.NOBODY


@given(histories, moments)
def test_only_ours_has_parts_and_only_a_closed_one_is_nobodys(
    events: list[Happened], now: datetime
) -> None:
    whole = whose_turn([on(0, Kind.TICKET_OPENED), *events], now)
    is_closed = any(e.kind == Kind.TICKET_CLOSED for e in events)
    assert (whole.whose == Whose.NOBODY) == is_closed
    assert all(bool(p.part) == (p.whose == Whose.OURS) for p in whole.pieces)


@given(histories, moments)
def test_looking_later_changes_only_the_end_of_the_strip(
    events: list[Happened], now: datetime
) -> None:
    """With a clock that runs, what was seen of the past stays as it was."""
    ordered = sorted(events, key=lambda e: e.at)
    opened = on(0, Kind.TICKET_OPENED)
    seen = whose_turn([opened, *(e for e in ordered if e.at <= now)], now)
    later = whose_turn([opened, *ordered], now + 30 * DAY)
    for piece, same in zip(seen.pieces[:-1], later.pieces, strict=False):
        assert piece == same


def test_a_late_part_is_put_off_or_waited_for_no_more() -> None:
    ordered = on(1, Kind.PART_ORDERED, order_line=1, due_on="2026-10-12")
    later = on(2, Kind.ORDER_PUT_OFF, order_line=1, due_on="2026-10-20")
    ended = on(3, Kind.ORDER_ENDED, order_line=1)
    assert turn(ordered, later).details == {"count": 1, "due_on": "2026-10-20"}
    assert turn(ordered, later, ended).whose == Whose.OURS
    stray = on(4, Kind.ORDER_PUT_OFF, order_line=1, due_on="2026-10-30")
    assert turn(ordered, ended, stray).whose == Whose.OURS
