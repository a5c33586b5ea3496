"""The board's condition: asked once, carried to the readings, held off by gates."""

import re
from datetime import timedelta
from typing import Any
from urllib.parse import urlencode
from uuid import uuid4

import pytest
from django.db import DatabaseError, transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from diagnostics import conditions, holding, queries
from diagnostics import services as bench
from diagnostics.models import Board, ConditionSet
from diagnostics.refusals import HeldOff, OtherContents
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused
from tests.diagnostics.conftest import MORNING, Read, power_may_be_applied
from tests.factories import TicketFactory

pytestmark = pytest.mark.one_database

POWER: dict[str, Any] = {
    "check_id": "k24",
    "supply_volts": 19.0,
    "supply_limit_amps": 0.5,
}


def page_of(job: Ticket, board: Board, **state: object) -> str:
    page = reverse("diagnostics:board", args=[job.number, board.pk])
    return f"{page}?{urlencode(state)}"


def say(client: Client, job: Ticket, board: Board, **fields: object) -> str:
    """Post the step's form; the page that comes after it, or the refusal."""
    url = reverse("diagnostics:condition_set", args=[job.number, board.pk])
    keyed = {"idempotency_key": str(uuid4()), **fields}
    response = client.post(url, keyed, follow=True)
    return response.content.decode()


@pytest.fixture
def ready(read: Read) -> None:
    """Every gate of first power read, just now: the page judges by the clock."""
    now = timezone.now()
    bench_read = {"taken_at": now}
    power_may_be_applied(read, **bench_read)


# --- asked once ---


def test_a_board_that_came_in_is_taken_as_unpowered(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    assert conditions.now_of(queries.known_of(board)).condition == "U"
    html = at_bench.get(page_of(job, board, check="k03")).content.decode()
    assert "It is so now" not in html
    assert "as it came in" in html
    assert not pad_waits(html)


def pad_waits(html: str) -> bool:
    """Whether the entry is there and hidden, until how the board stands is said."""
    found = re.search(r'class="entry [a-z -]+" data-title="[^"]*"( hidden)?', html)
    assert found is not None
    return found[1] is not None


@pytest.mark.usefixtures("ready")
def test_power_is_asked_once_and_the_pad_waits(
    at_bench: Client, job: Ticket, board: Board
) -> None:
    html = at_bench.get(page_of(job, board, check="k24")).content.decode()
    assert "It is so now" in html
    assert pad_waits(html)
    for filled in ('value="19 V"', 'value="500 mA"', "the adapter’s rating"):
        assert filled in html
    for gate in ("(k06): good", "(k18): passed by arithmetic"):
        assert gate in html
    html = say(
        at_bench,
        job,
        board,
        check_id="k24",
        condition="A",
        supply_volts="19",
        supply_limit_amps="1",
        check="k24",
        point="k24/supply",
    )
    assert "It is so now" not in html
    assert not pad_waits(html)
    assert "as it is now, 19\N{NO-BREAK SPACE}V, limit 1\N{NO-BREAK SPACE}A" in html
    html = at_bench.get(page_of(job, board, check="k27")).content.decode()
    assert not pad_waits(html)
    html = at_bench.get(page_of(job, board, check="k44")).content.decode()
    assert pad_waits(html)
    assert 'value="1 A"' in html
    assert "as last on this board" in html


@pytest.mark.usefixtures("ready")
def test_what_was_said_carries_to_the_readings(
    board: Board, job: Ticket, ines: Person, read: Read
) -> None:
    bench.condition_set(board=board, ticket=job, by=ines, fitted=["cpu"], **POWER)
    now = timezone.now()
    plain = read("k24/supply", "14 mA", taken_at=now)
    assert (plain.supply_volts, plain.supply_limit_amps) == (19.0, 0.5)
    assert plain.fitted == ["cpu"]
    other = read("k27/main", "18.9", supply_volts=20.0, fitted=[], taken_at=now)
    assert (other.supply_volts, other.supply_limit_amps) == (20.0, 0.5)
    assert other.fitted == []
    assert holding.holder_of(board) == ines.pk


@pytest.mark.usefixtures("ready")
def test_without_a_word_a_reading_says_its_checks_own_condition(read: Read) -> None:
    first = read("k24/supply", "14 mA", supply_volts=19.0, taken_at=timezone.now())
    then = read("k27/main", "18.9", taken_at=timezone.now())
    assert (first.condition, then.condition) == ("A", "A")
    assert then.supply_volts is None


@pytest.mark.usefixtures("ready")
def test_the_supply_is_filled_from_another_board_of_the_model(
    at_bench: Client, job: Ticket, board: Board, ines: Person, tomas: Person
) -> None:
    later = TicketFactory.create(by=tomas)
    other = bench.board_join(ticket=later, by=ines, board_model=board.board_model)
    bench.condition_set(
        board=board, ticket=job, by=ines, **POWER | {"supply_volts": 19.5}
    )
    known = queries.known_of(other)
    supply = conditions.supply_for(known, "A", lambda: queries.supply_of_model(other))
    assert supply == conditions.Supply(19.5, 0.5, "model")
    html = at_bench.get(page_of(job, board, check="k44")).content.decode()
    assert 'value="19.5 V"' in html


def test_a_desktop_has_no_bench_supply_to_set(job: Ticket, ines: Person) -> None:
    model = bench.board_model_keep(
        shop=job.shop, by=ines, number="T-1", family="desktop_atx"
    )
    tower = bench.board_join(ticket=job, by=ines, board_model=model)
    known = queries.known_of(tower)
    assert conditions.supply_for(known, "A", lambda: None) is None
    assert conditions.supply_for(known, "J", lambda: None) is not None


def test_what_another_told_says_nothing_of_our_board(board: Board, read: Read) -> None:
    read("k32/sb.33", "3.3", source="told")
    assert conditions.now_of(queries.known_of(board)).condition == "U"


# --- held off ---


def test_power_is_refused_while_its_gates_hold_it_off(
    at_bench: Client, board: Board, job: Ticket, ines: Person
) -> None:
    with pytest.raises(HeldOff):
        bench.condition_set(board=board, ticket=job, by=ines, **POWER)
    html = say(at_bench, job, board, check_id="k24", condition="A", check="k24")
    assert "Held off" in html
    assert not ConditionSet.objects.exists()


@pytest.mark.usefixtures("ready")
def test_power_that_was_said_makes_power_gone_stale_at_once(
    board: Board, job: Ticket, ines: Person
) -> None:
    assert not queries.holds_for(board, "k05")
    bench.condition_set(board=board, ticket=job, by=ines, **POWER)
    bench.condition_set(board=board, ticket=job, by=ines, check_id="k03")
    held = queries.holds_for(board, "k05")
    assert [(one.gate_id, one.reason.code) for one in held] == [("k03", "gate_stale")]


@pytest.mark.usefixtures("ready")
def test_the_limit_of_a_passed_gate_holds_for_the_supply_too(
    board: Board, job: Ticket, ines: Person, at_bench: Client
) -> None:
    done: dict[str, Any] = {"board": board, "ticket": job, "by": ines}
    bench.intervention_do(kind="replaced", part_id="p.cmain", **done)
    for hold in queries.holds_for(board, "k24"):
        bench.gate_overrule(
            check_id="k24",
            gate_id=hold.gate_id,
            chip="limited_power",
            limit_amps=0.3,
            **done,
        )
    with pytest.raises(Refused, match=r"0\.3 A at most") as refused:
        bench.condition_set(**done, **POWER)
    assert refused.value.field == "supply_limit_amps"
    html = at_bench.get(page_of(job, board, check="k24")).content.decode()
    assert 'value="300 mA"' in html
    html = say(at_bench, job, board, check_id="k24", condition="A", check="k24")
    assert not pad_waits(html)
    assert ConditionSet.objects.get().supply_limit_amps == 0.3


def test_something_done_to_the_board_asks_again(
    at_bench: Client, board: Board, job: Ticket, ines: Person, read: Read
) -> None:
    read("k03/main", "0.01", taken_at=timezone.now())
    bench.intervention_do(board=board, ticket=job, by=ines, kind="cleaned")
    assert conditions.now_of(queries.known_of(board)).condition == ""
    html = at_bench.get(page_of(job, board, check="k03")).content.decode()
    assert "Something was done to the board since" in html
    assert pad_waits(html)
    bench.condition_set(board=board, ticket=job, by=ines, check_id="k03")
    html = at_bench.get(page_of(job, board, check="k03")).content.decode()
    assert not pad_waits(html)


# --- kept as facts ---


@pytest.mark.usefixtures("ready")
def test_the_same_word_sent_twice_is_one(
    board: Board, job: Ticket, ines: Person
) -> None:
    said: dict[str, Any] = {"board": board, "ticket": job, "by": ines}
    said["uuid"] = uuid4()
    first = bench.condition_set(**said, **POWER)
    assert bench.condition_set(**said, **POWER) == first
    with pytest.raises(OtherContents):
        bench.condition_set(**said, check_id="k03")
    assert ConditionSet.objects.count() == 1


def test_a_condition_is_never_edited(board: Board, job: Ticket, ines: Person) -> None:
    bench.condition_set(board=board, ticket=job, by=ines, check_id="k03")
    with pytest.raises(DatabaseError), transaction.atomic():
        ConditionSet.objects.update(condition="A")


@pytest.mark.parametrize(
    ("field", "value"), [("supply_volts", 400.0), ("supply_limit_amps", 0.0)]
)
@pytest.mark.usefixtures("ready")
def test_a_supply_that_no_bench_has_is_refused(
    board: Board, job: Ticket, ines: Person, field: str, value: float
) -> None:
    with pytest.raises(Refused) as refused:
        bench.condition_set(board=board, ticket=job, by=ines, **POWER | {field: value})
    assert refused.value.field == field


def test_a_check_taken_as_it_is_sets_nothing(
    board: Board, job: Ticket, ines: Person
) -> None:
    with pytest.raises(Refused, match="as it is"):
        bench.condition_set(board=board, ticket=job, by=ines, check_id="k04")


def test_cold_and_powered_are_not_taken_for_each_other(
    board: Board, job: Ticket, ines: Person
) -> None:
    with pytest.raises(Refused, match="no power on the board"):
        bench.condition_set(
            board=board, ticket=job, by=ines, check_id="k03", condition="A"
        )


def test_the_newest_word_or_reading_counts(
    board: Board, job: Ticket, ines: Person, read: Read
) -> None:
    """Order of arrival, not of the tablets' clocks."""
    bench.condition_set(
        board=board, ticket=job, by=ines, check_id="k03", at=MORNING + timedelta(days=1)
    )
    told = queries.known_of(board)
    assert conditions.now_of(told).is_said
    read("k03/main", "0.01")
    assert conditions.now_of(queries.known_of(board)).is_said
