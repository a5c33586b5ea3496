"""Machine time: a start and an end, never labour."""

import uuid
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from diagnostics import holding
from diagnostics import services as bench
from diagnostics.models import Board, MachineEnd, MachineRun
from diagnostics.refusals import OtherContents
from shop.billing import queries as money
from shop.intake import event_words
from shop.intake.models import Ticket
from shop.people.models import Person
from shop.records.errors import Refused
from shop.records.models import Event
from tests.diagnostics.conftest import MORNING

pytestmark = pytest.mark.django_db


def test_a_run_stops_the_hands_clock_and_bills_nothing(
    board: Board, job: Ticket, ines: Person
) -> None:
    bench.board_take(board=board, ticket=job, by=ines, at=MORNING)
    before = money.agreed(job).used
    start = MORNING + timedelta(minutes=5)
    run = bench.machine_run_start(
        ticket=job, board=board, by=ines, kind="soak", at=start
    )
    assert holding.holder_of(board) is None
    end = bench.machine_run_end(run=run, by=ines, at=start + timedelta(hours=2))
    assert end == bench.machine_run_end(run=run, by=ines)
    said = [event_words.happened(e) for e in Event.objects.filter(kind="machine_ended")]
    assert said == ["Machine ended: soak test, 120 min"]
    assert money.agreed(job).used == before


def test_the_same_start_again_is_the_same_run(job: Ticket, ines: Person) -> None:
    key = uuid.uuid4()
    run = bench.machine_run_start(ticket=job, by=ines, kind="drying", uuid=key)
    assert run == bench.machine_run_start(ticket=job, by=ines, kind="drying", uuid=key)
    assert run == bench.machine_run_start(ticket=job, by=ines, kind="drying")
    with pytest.raises(OtherContents):
        bench.machine_run_start(ticket=job, by=ines, kind="soak", uuid=key)
    assert MachineRun.objects.count() == 1


def test_what_makes_no_sense_is_refused(job: Ticket, ines: Person) -> None:
    with pytest.raises(Refused, match="left to run"):
        bench.machine_run_start(ticket=job, by=ines, kind="lunch")
    run = bench.machine_run_start(ticket=job, by=ines, kind="soak")
    with pytest.raises(Refused, match="before it began"):
        bench.machine_run_end(run=run, by=ines, at=run.started_at - timedelta(1))


def test_it_is_started_and_ended_on_the_bench_page(
    at_bench: Client, board: Board, job: Ticket
) -> None:
    args = [job.number, board.pk]
    key = "a-key-of-sixteen-or-more"
    start = reverse("diagnostics:machine_start", args=args)
    at_bench.post(start, {"kind": "soak", "idempotency_key": key})
    run = MachineRun.objects.get()
    page = at_bench.get(reverse("diagnostics:board", args=args)).content.decode()
    assert "Soak test" in page
    end = reverse("diagnostics:machine_end", args=[*args, run.pk])
    assert at_bench.post(end, {"idempotency_key": f"{key}-2"}).status_code == 302
    assert MachineEnd.objects.count() == 1
    other = at_bench.post(start, {"kind": "lunch", "idempotency_key": f"{key}-3"})
    assert other.status_code == 302
    assert MachineRun.objects.count() == 1
