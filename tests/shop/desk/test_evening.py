"""The evening list: what it proposes, what it records, and what comes in after."""

import uuid
from collections.abc import Callable
from datetime import UTC, datetime, time, timedelta
from typing import Any

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from diagnostics import holding
from diagnostics import services as bench
from diagnostics.models import Board
from shop.billing import queries as money
from shop.billing import services as billing
from shop.billing import work
from shop.billing.day_models import ConfirmedDay
from shop.billing.models import Invoice, TimeEntry
from shop.desk import evening, evening_marks
from shop.intake import services as intake
from shop.intake.models import Ticket
from shop.intake.services import ThingDraft
from shop.people.models import OpeningHours, Person, Shop
from shop.records import services as records
from tests.factories import TicketFactory
from tests.samples import board_of

pytestmark = pytest.mark.django_db
ClientOf = Callable[[str], Client]
YESTERDAY = (timezone.now() - timedelta(days=1)).date()
DAY = YESTERDAY.isoformat()


def at(clock: str) -> datetime:
    return datetime.combine(YESTERDAY, time.fromisoformat(clock), UTC)


@pytest.fixture
def shop(hollin_lane: Shop) -> Shop:
    """Open from 9 to 17 on every day."""
    for day in range(7):
        OpeningHours.objects.create(
            shop=hollin_lane, weekday=day, opens=time(9), closes=time(17)
        )
    hollin_lane.time_zone = "UTC"
    hollin_lane.save(update_fields=["time_zone"])
    return hollin_lane


@pytest.fixture
def job(shop: Shop, tomas: Person) -> Ticket:
    return TicketFactory.create(
        by=tomas, at=at("08:00"), things=[ThingDraft(kind="machine")]
    )


@pytest.fixture
def board(job: Ticket, ines: Person) -> Board:
    return board_of(job, ines)


@pytest.fixture
def worked(board: Board, job: Ticket, ines: Person) -> Board:
    """From 9:12 to 10:42, with four readings."""
    for number, clock in enumerate(("09:12", "09:20", "09:31", "10:20")):
        bench.reading_take(
            board=board,
            ticket=job,
            by=ines,
            point_id="k04/leads",
            typed=f"0.{number + 1}",
            taken_at=at(clock),
        )
    bench.board_put_down(board=board, ticket=job, by=ines, at=at("10:42"))
    return board


def list_url(day: str = DAY) -> str:
    return reverse("desk:evening", args=[Person.objects.get(username="ines").pk, day])


def back_at_it(board: Board, job: Ticket, by: Person) -> None:
    """Told late: 25 minutes more."""
    bench.board_take(board=board, ticket=job, by=by, at=at("11:00"))
    bench.board_put_down(board=board, ticket=job, by=by, at=at("11:25"))


def shown(client: Client, day: str = DAY) -> Any:
    return client.get(list_url(day))


def confirm(client: Client, **typed: object) -> Any:
    """Post the list as it is shown, with what was changed by hand."""
    form = shown(client).context["form"]
    fields = {name: form[name].value() for name in form.fields}
    fields |= {"idempotency_key": str(uuid.uuid4())} | typed
    return client.post(list_url(), fields)


def recorded() -> list[tuple[str, int]]:
    return list(TimeEntry.objects.order_by("id").values_list("kind", "minutes"))


def test_the_day_is_proposed_from_what_was_done_and_confirmed_in_one_tap(
    client_of: ClientOf, worked: Board, job: Ticket
) -> None:
    page = shown(client_of("ines")).content.decode()
    assert "9:12–10:42 · 4 readings" in page
    assert "9:31–10:20 nothing, the clock ran on" in page
    assert "1 h 30 min to confirm." in page
    assert TimeEntry.objects.count() == 0, "looking records nothing"
    assert confirm(client_of("ines")).status_code == 302
    assert recorded() == [("diagnosis", 90)]
    assert TimeEntry.objects.get().started_at == at("09:12")
    assert "Confirmed." in shown(client_of("ines")).content.decode()


def test_confirming_twice_records_once(client_of: ClientOf, worked: Board) -> None:
    form = shown(client_of("ines")).context["form"]
    fields = {name: form[name].value() for name in form.fields}
    url = list_url()
    for key in (
        "one-key-of-sixteen-signs",
        "one-key-of-sixteen-signs",
        "another-key-of-16-signs",
    ):
        answer = client_of("ines").post(url, fields | {"idempotency_key": key})
    assert answer.status_code == 422
    assert "confirmed meanwhile" in answer.content.decode()
    assert recorded() == [("diagnosis", 90)]
    assert ConfirmedDay.objects.count() == 1


def test_what_was_lowered_stays_so_and_only_what_comes_in_late_is_proposed(
    client_of: ClientOf, worked: Board, job: Ticket, ines: Person
) -> None:
    confirm(client_of("ines"), **{f"m-{job.pk}-diagnosis": 40})
    assert recorded() == [("diagnosis", 40)]
    assert not shown(client_of("ines")).context["evening"].minutes
    back_at_it(worked, job, ines)
    page = shown(client_of("ines")).content.decode()
    assert "More came in since:" in page
    assert "25 min to confirm." in page
    confirm(client_of("ines"))
    assert recorded() == [("diagnosis", 40), ("diagnosis", 25)]


def test_what_came_in_while_it_was_shown_is_shown_before_it_is_recorded(
    client_of: ClientOf, worked: Board, job: Ticket, ines: Person
) -> None:
    form = shown(client_of("ines")).context["form"]
    fields = {name: form[name].value() for name in form.fields}
    fields |= {f"m-{job.pk}-diagnosis": 77, "idempotency_key": str(uuid.uuid4())}
    back_at_it(worked, job, ines)
    answer = client_of("ines").post(list_url(), fields)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "More came in meanwhile." in page
    assert 'value="77"' in page, "what was typed is kept"
    assert not recorded()


def test_minutes_typed_by_hand_are_recognised(
    client_of: ClientOf, worked: Board, job: Ticket, ines: Person
) -> None:
    billing.time_record(
        ticket=job,
        by=ines,
        person=ines,
        kind="diagnosis",
        minutes=60,
        started_at=at("09:30"),
    )
    page = shown(client_of("ines")).content.decode()
    assert "30 min to confirm." in page
    assert "clock 1 h 30 min, 1 h typed by hand" in page
    confirm(client_of("ines"))
    assert recorded() == [("diagnosis", 60), ("diagnosis", 30)]


def test_kind_and_minutes_are_the_persons(
    client_of: ClientOf, worked: Board, job: Ticket
) -> None:
    name = f"{job.pk}-diagnosis"
    assert confirm(client_of("ines"), **{f"m-{name}": -5}).status_code == 422
    assert confirm(client_of("ines"), **{f"k-{name}": "machine"}).status_code == 422
    assert not recorded()
    confirm(client_of("ines"), **{f"m-{name}": 95, f"k-{name}": "rework"})
    assert recorded() == [("rework", 95)]


def test_another_days_owner_looks_and_nobody_else(
    client_of: ClientOf, worked: Board, ines: Person, sami: Person
) -> None:
    url = list_url()
    assert client_of("sami").get(url).status_code == 404
    assert "1 h 30 min" in client_of("marit").get(url).content.decode()
    assert "Ines Okafor" in client_of("marit").get("/office/").content.decode()
    for no_day in ("tomorrow", "2026-13-40", "2999-01-01"):
        assert shown(client_of("ines"), no_day).status_code == 404


def test_a_forgotten_board_must_be_looked_at(
    client_of: ClientOf, board: Board, job: Ticket, ines: Person
) -> None:
    bench.board_take(board=board, ticket=job, by=ines, at=at("09:00"))
    page = shown(client_of("ines")).content.decode()
    assert "No sign of work after 9:00; stopped at 12:00." in page


def test_work_that_no_clock_holds_is_told_and_may_be_typed(
    client_of: ClientOf, worked: Board, job: Ticket, ines: Person, sami: Person
) -> None:
    """Domain brief, 1: 40 minutes of rework that were never written down."""
    bench.board_take(board=worked, ticket=job, by=sami, at=at("13:00"))
    bench.reading_take(
        board=worked,
        ticket=job,
        by=ines,
        point_id="k04/leads",
        typed="0.9",
        taken_at=at("13:40"),
    )
    page = shown(client_of("ines")).content.decode()
    assert "1 reading while your clock did not run here (13:40)" in page
    assert "10:42–13:40" in page
    assert "2 h 58 min" in page
    bench.proof_item_record(
        ticket=(other := TicketFactory.create(by=ines, at=at("08:00"))),
        by=ines,
        item="cold_start",
        result="passed",
        count=5,
        at=at("14:00"),
    )
    confirm(client_of("ines"), **{f"m-{other.pk}-proof": 20})
    assert recorded() == [("diagnosis", 90), ("proof", 20)]


def test_machine_time_stands_apart(
    client_of: ClientOf, worked: Board, job: Ticket, ines: Person
) -> None:
    run = bench.machine_run_start(ticket=job, by=ines, kind="soak", at=at("10:42"))
    bench.machine_run_end(run=run, by=ines, at=at("13:12"))
    page = shown(client_of("ines")).content.decode()
    assert "soak test 10:42–13:12, 2 h 30 min" in page
    confirm(client_of("ines"))
    assert recorded() == [("diagnosis", 90)]


# --- used, and the invoice ---


def test_used_counts_the_clock_and_papers_do_not(
    client_of: ClientOf, worked: Board, job: Ticket
) -> None:
    """90 minutes of diagnosis, 45 of them in the fee: 45 at 60 an hour, and tax."""
    terms = work.Prices.of(job, timezone.now())
    assert terms.hourly_rate == 60
    assert job.diagnosis_minutes == 45
    page = client_of("ines").get(
        reverse("diagnostics:board", args=[job.number, worked.pk])
    )
    assert "used about" in page.content.decode()
    running = evening.estimate_of(job, timezone.now())
    assert [(kind, minutes) for kind, _by, minutes in running] == [("diagnosis", 90)]
    without = sum(line.net.amount for line in money.work_lines(job))
    with_it = sum(line.net.amount for line in money.work_lines(job, running=running))
    assert with_it - without == 45


def invoice(client: Client, job: Ticket, **typed: str) -> Any:
    url = reverse("desk:invoice_issue", args=[job.number])
    return client.post(url, {"idempotency_key": str(uuid.uuid4())} | typed)


@pytest.fixture
def ended(worked: Board, job: Ticket, ines: Person) -> Ticket:
    intake.outcome_record(ticket=job, by=ines, kind="improved")
    Ticket.objects.filter(pk=job.pk).update(pre_approved_minor=50_000)
    job.refresh_from_db()
    return job


def test_an_invoice_asks_for_time_that_nobody_confirmed(
    client_of: ClientOf, ended: Ticket
) -> None:
    answer = invoice(client_of("tomas"), ended)
    assert answer.status_code == 422
    assert "1 h 30 min of this ticket nobody has confirmed" in answer.content.decode()
    assert not Invoice.objects.exists()
    assert invoice(client_of("tomas"), ended, time="confirm").status_code == 302
    assert recorded() == [("diagnosis", 90)]
    lines = Invoice.objects.get().lines.filter(code="labour.diagnosis")
    assert [line.quantity for line in lines] == [45]


def test_an_invoice_without_that_time_leaves_it_proposed(
    client_of: ClientOf, ended: Ticket
) -> None:
    assert invoice(client_of("tomas"), ended, time="leave_out").status_code == 302
    assert not recorded()
    assert shown(client_of("ines")).context["evening"].minutes == 90


def test_past_three_hours_no_tap_confirms_it(
    client_of: ClientOf, board: Board, job: Ticket, ines: Person
) -> None:
    bench.board_take(board=board, ticket=job, by=ines, at=at("09:00"))
    intake.outcome_record(ticket=job, by=ines, kind="improved")
    page = invoice(client_of("tomas"), job).content.decode()
    assert "must be looked at first" in page
    assert 'value="confirm"' not in page
    assert invoice(client_of("tomas"), job, time="confirm").status_code == 422
    assert not recorded()


def test_a_refused_invoice_takes_the_confirming_with_it(
    client_of: ClientOf, ended: Ticket
) -> None:
    Ticket.objects.filter(pk=ended.pk).update(pre_approved_minor=None)
    assert invoice(client_of("tomas"), ended, time="confirm").status_code == 422
    assert not recorded()


# --- the clock of the masthead, and the scan ---


def clock(client: Client, job: Ticket, board: Board) -> str:
    url = reverse("desk:clock", args=[job.number, board.pk])
    return " ".join(client.get(url).content.decode().split())


def test_the_clock_says_where_it_runs_and_its_move_is_undone(
    client_of: ClientOf, board: Board, job: Ticket, tomas: Person, ines: Person
) -> None:
    now = timezone.now()
    other_job = TicketFactory.create(by=tomas, at=now - timedelta(hours=2))
    other = board_of(other_job, ines)
    ago = now - timedelta(minutes=20)
    bench.board_take(board=board, ticket=job, by=ines, at=ago)
    assert "Your clock runs here since" in clock(client_of("ines"), job, board)
    assert f"<b>{job.number}</b></a>" in clock(client_of("ines"), other_job, other)
    bench.board_take(board=other, ticket=other_job, by=ines)
    page = clock(client_of("ines"), other_job, other)
    assert f"Clock moved from <b>{job.number}</b> to <b>{other_job.number}</b>" in page
    taken = holding.newest_taking(ines)
    assert taken is not None
    key = {"idempotency_key": str(uuid.uuid4()), "taken": str(taken.pk)}
    url = reverse("desk:clock_undo", args=[other_job.number, other.pk])
    assert client_of("ines").post(url, key).status_code == 302
    assert "Your clock runs on" in clock(client_of("ines"), other_job, other)
    assert "No clock of yours" not in clock(client_of("ines"), job, board)


def test_the_next_act_ends_the_offer_to_undo(
    client_of: ClientOf, board: Board, job: Ticket, tomas: Person, ines: Person
) -> None:
    now = timezone.now()
    other_job = TicketFactory.create(by=tomas, at=now - timedelta(hours=2))
    other = board_of(other_job, ines)
    bench.board_take(board=board, ticket=job, by=ines, at=now - timedelta(minutes=20))
    for number, ago in enumerate((5, 1)):
        bench.reading_take(
            board=other,
            ticket=other_job,
            by=ines,
            point_id="k04/leads",
            typed=f"0.{number + 1}",
            taken_at=now - timedelta(minutes=ago),
        )
    page = clock(client_of("ines"), other_job, other)
    assert "Clock moved" not in page
    assert "<b>5 min</b> today" in page


def test_a_scan_at_the_bench_takes_the_board_and_looking_does_not(
    client_of: ClientOf, board: Board, job: Ticket, ines: Person
) -> None:
    at_bench = client_of("ines")
    at_bench.get(reverse("intake:scan"), {"code": f"CRT{job.number}X1"})
    at_bench.get(reverse("diagnostics:board", args=[job.number, board.pk]))
    assert holding.holder_of(board) is None
    form = {"code": f"CRT{job.number}X1", "idempotency_key": str(uuid.uuid4())}
    answer = at_bench.post(reverse("desk:scan_take"), form).json()
    assert answer["url"] == reverse("diagnostics:board", args=[job.number, board.pk])
    assert holding.holder_of(board) == ines.pk


@pytest.mark.parametrize("code", ["CRP19", "nothing", "CRT99X1", "CRBsecret"])
def test_other_scans_take_nothing(client_of: ClientOf, board: Board, code: str) -> None:
    form = {"code": code, "idempotency_key": str(uuid.uuid4())}
    answer = client_of("ines").post(reverse("desk:scan_take"), form)
    assert answer.json() == {"url": ""}
    assert holding.holder_of(board) is None


@pytest.mark.django_db(transaction=True)
def test_days_that_are_over_are_kept_until_something_comes_late(
    worked: Board, job: Ticket, ines: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    def minutes() -> int:
        found = evening.unconfirmed_days(job.shop, timezone.now())
        return sum(count for _who, _day, count in found)

    assert minutes() == 90
    with monkeypatch.context() as patch:
        patch.setattr(evening_marks, "clocks_of", None)
        assert minutes() == 90
    with transaction.atomic():
        back_at_it(worked, job, ines)
        assert minutes() == 115
        transaction.set_rollback(True)
    assert minutes() == 90
    bench.board_take(board=worked, ticket=job, by=ines, at=at("13:00"))
    assert minutes() == 90 + 180  # without a sign it stops after three hours
    records.note_keep(
        shop_id=job.shop_id,
        ticket_id=job.pk,
        kind="told",
        text="It clicks.",
        by_id=ines.pk,
        at=at("15:30"),
    )
    assert minutes() == 90 + 240  # until the shop closes
