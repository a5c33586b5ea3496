"""Traps of the bench that need rows: what is kept with a reading, and used."""

from collections.abc import Callable
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from diagnostics import queries
from diagnostics.bridge import Judged
from diagnostics.models import Board, Reading
from shop.intake.models import Ticket
from tests.diagnostics.conftest import Read, power_may_be_applied

VerdictOf = Callable[[Reading], Judged]


@pytest.fixture
def cold(read: Read) -> None:
    power_may_be_applied(read)


def test_8_volts_on_a_rail_whose_feed_is_dead_are_unclear(
    cold: None, read: Read, verdict_of: VerdictOf
) -> None:
    main = read("k27/main", "0.02 V")
    leaking = read("k32/sb.33", "3.250 V")
    assert verdict_of(main).verdict.word == "bad"
    judged = verdict_of(leaking).verdict
    assert (judged.word, judged.reasons[0].code) == ("unclear", "unfed")


def test_8_a_pack_in_the_board_may_be_the_feed(
    cold: None, read: Read, verdict_of: VerdictOf
) -> None:
    read("k27/main", "0.02 V")
    fed = read("k32/sb.33", "3.300 V", fitted=["pack"])
    assert verdict_of(fed).verdict.word == "good"


def test_8_the_feed_of_another_epoch_does_not_count(
    cold: None, read: Read, verdict_of: VerdictOf
) -> None:
    read("k27/main", "18.9 V")
    first = read("k32/sb.33", "3.300 V")
    assert verdict_of(first).verdict.word == "good"


def test_8_set_volts_limit_and_shown_volts_are_kept_with_a_current(
    read: Read, board: Board, job: Ticket, at_bench: Client, verdict_of: VerdictOf
) -> None:
    power_may_be_applied(read, taken_at=timezone.now())
    sent = {
        "idempotency_key": str(uuid4()),
        "point_id": "k24/supply",
        "typed": "0.02 A",
        "condition": "A",
        "supply_volts": "19 V",
        "supply_limit_amps": "0,5",
        "supply_actual_volts": "0",
    }
    answer = at_bench.post(
        reverse("diagnostics:reading_take", args=[job.number, board.pk]), sent
    )
    assert answer.status_code == 302, answer.content.decode()
    reading = queries.known_of(board).readings[-1]
    kept = (
        reading.supply_volts,
        reading.supply_limit_amps,
        reading.supply_actual_volts,
    )
    assert kept == (19.0, 0.5, 0.0)
    judged = verdict_of(reading).verdict
    assert (judged.word, judged.reasons[0].code) == ("unclear", "supply_off")


def test_9_what_is_in_the_board_is_kept_and_keeps_a_verdict_back(
    cold: None, read: Read, verdict_of: VerdictOf
) -> None:
    with_pack = read("k06/main", "62k", fitted=["pack"])
    without = read("k06/main", "62k")
    assert with_pack.fitted == ["pack"]
    assert verdict_of(with_pack).verdict.reasons[0].code == "taken_with"
    assert verdict_of(without).verdict.word == "good"
